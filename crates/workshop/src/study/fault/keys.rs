//! Keys and words of fault data.

/// Words of [`System`](super::System).
pub const SYSTEMS: &[&str] = &["points", "magneto", "cdi-source", "cdi-battery", "transistor"];
/// Words of [`When`](super::When).
pub const WHENS: &[&str] = &["always", "kicking", "hot", "high", "load", "wet", "bumps"];
/// Words of [`Kind`](super::Kind).
pub const KINDS: &[&str] = &["starting", "running", "timing", "charging", "lighting", "stopping", "kickback", "noise", "damage"];
/// Words of [`State`](super::State).
pub const STATES: &[&str] = &["stopped", "kicking", "running", "hot-stopped", "road"];
/// Words of [`Group`](super::Group).
pub const GROUPS: &[&str] = &[
    "trigger",
    "supply",
    "module",
    "ht",
    "breaker",
    "advance",
    "timing",
    "rotor",
    "wiring",
    "charging",
    "mixture",
    "engine",
    "instrument",
];

pub(super) const META: &[&str] = &["schema", "language", "numbers_source", "repeat_minutes"];
pub(super) const CAUSE: &[&str] = &[
    "id",
    "name",
    "group",
    "systems",
    "strokes",
    "min_cyl",
    "needs_battery",
    "needs_regulator",
    "irreversible",
    "shows",
    "put_right",
    "mend_minutes",
];
pub(super) const COMPLAINT: &[&str] = &[
    "id",
    "kind",
    "when",
    "name",
    "owner_says",
    "ask",
    "stop_first",
    "min_cyl",
    "bar_states",
    "bar_until",
    "causes",
    "other",
    "dead",
];
pub(super) const TEST: &[&str] = &[
    "id",
    "name",
    "tool",
    "state",
    "setup",
    "minutes",
    "again",
    "how",
    "expect",
    "positive",
    "if_positive",
    "if_negative",
    "danger",
    "applies",
    "strokes",
    "min_cyl",
    "kinds",
    "only_when",
    "after",
    "sees",
    "repeats",
    "needs_spare",
    "must_run",
    "p_none",
    "hits",
];
