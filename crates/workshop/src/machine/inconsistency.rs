//! Readings of a machine file that contradict each other, as data: `sheets` has the words.

/// Readings that contradict each other. Values in SI.
#[derive(Clone, Debug, PartialEq)]
pub enum Inconsistency {
    /// Both `with` and `from` are given for one reading.
    TwoSources,
    /// Neither two-stroke nor four-stroke.
    ThreeStrokes,
    /// The segment's chord is longer than the rim's diameter.
    ChordExceedsRim {
        /// Chord [m].
        chord_m: f64,
        /// Diameter [m].
        diameter_m: f64,
    },
    /// The segment is longer than the rim's circumference.
    SegmentExceedsRim {
        /// Arc [m].
        arc_m: f64,
        /// Circumference [m].
        circumference_m: f64,
    },
    /// Both arc and chord of the segment are given, or neither.
    ArcOrChord,
    /// The trailing edge passes far after top dead centre: lead less arc below the least that any engine runs on.
    TrailingEdgeTooLate {
        /// Lead less arc [rad crank].
        least_advance_rad: f64,
        /// Limit [rad crank].
        limit_rad: f64,
    },
    /// A two-stroke with valves or an inlet of the four-stroke kind.
    TwoStrokeWithValves,
    /// A valve larger than the bore.
    ValveExceedsBore {
        /// Valve [m].
        valve_m: f64,
        /// Bore [m].
        bore_m: f64,
    },
    /// The valve shuts before it has opened, or stays open for a whole cycle.
    ValveOpenFor {
        /// Duration [rad crank].
        duration_rad: f64,
    },
    /// A carburettor larger than the cylinder.
    ThrottleExceedsBore {
        /// Throttle [m].
        throttle_m: f64,
        /// Bore [m].
        bore_m: f64,
    },
    /// The inlet behind the throttle is too small beside the cylinder for its gas to be followed.
    InletTooSmall {
        /// Volume [m³].
        volume_m3: f64,
        /// Least [m³].
        least_m3: f64,
    },
    /// The rod is too short to let the crank turn.
    RodTooShort {
        /// Rod [m].
        rod_m: f64,
        /// Least that turns [m].
        least_m: f64,
    },
    /// A firing angle outside the cycle.
    FiresOutsideCycle {
        /// Length of the cycle [rad].
        cycle_rad: f64,
    },
    /// Two cylinders have one name.
    SameName,
    /// No cylinder has this name or number.
    NoSuchCylinder {
        /// As written.
        found: String,
        /// The name that looks most like it.
        did_you_mean: Option<String>,
        /// The names.
        known: Vec<String>,
    },
    /// A cylinder is fired by no pickup, or by several.
    CylinderFiredBy {
        /// The cylinder's name.
        cylinder: String,
        /// Pickups that fire it.
        pickups: usize,
    },
    /// A speed that must lie below another does not.
    SpeedNotBelow {
        /// The speed [rad/s].
        speed_rad_s: f64,
        /// Path of the other.
        other: &'static str,
        /// The other [rad/s].
        other_rad_s: f64,
    },
    /// Piston travel beyond the stroke.
    TravelExceedsStroke {
        /// Travel [m].
        travel_m: f64,
        /// Stroke [m].
        stroke_m: f64,
    },
    /// A segment law without a trigger.
    LawNeedsTrigger,
    /// Speeds of a table that do not rise, or fewer than two points.
    TableNotRising,
    /// Open against their stops, the weights would stand beyond the line from pivot to shaft.
    WeightsSwingPastShaft {
        /// Angle at the pivot with the weights open [rad]; it must stay below a half turn.
        open_rad: f64,
    },
    /// Temperatures of an adhesive's strength that do not rise from point to point.
    PointsNotRising,
    /// Some of a key's sizes, and not all.
    KeyIncomplete,
    /// The taper comes to a point within its length.
    TaperToAPoint {
        /// Diameter that it would have at its small end [m].
        small_m: f64,
    },
    /// The boss is no wider than its bore.
    HubInsideTaper {
        /// Boss [m].
        hub_m: f64,
        /// Large end of the bore [m].
        large_m: f64,
    },
    /// The nut's face is no wider than its thread.
    FaceInsideThread {
        /// Face [m].
        face_m: f64,
        /// Thread [m].
        thread_m: f64,
    },
    /// A pitch that leaves the thread no core.
    PitchTooCoarse {
        /// Pitch [m].
        pitch_m: f64,
        /// Thread [m].
        diameter_m: f64,
    },
    /// A puller with bolts, without their number or circle.
    BoltsIncomplete,
    /// Some of mass, radius and place of a trial weight, and not all.
    TrialIncomplete,
    /// The second spring's rate without its gap, or the other way round.
    SecondSpringIncomplete,
    /// Two pieces of the rotor have one name.
    SamePiece,
    /// No piece of the rotor has this name.
    NoSuchPiece {
        /// As written.
        found: String,
        /// The name that looks most like it.
        did_you_mean: Option<String>,
        /// The names.
        known: Vec<String>,
    },
    /// Holes or magnets without any piece of metal.
    NoPieces,
    /// A piece or a hole ends where it begins, or before.
    EndsWithoutLength,
    /// A piece's inside is not smaller than its outside.
    InsideOut {
        /// Inside diameter [m].
        inside_m: f64,
        /// Outside diameter [m].
        outside_m: f64,
    },
    /// Two pieces take the same room.
    PiecesOverlap {
        /// The other piece's name.
        other: String,
        /// Where along the axis [m].
        at_m: f64,
    },
    /// A piece touches none of the others.
    PieceLoose,
    /// A hole leaves the metal.
    HoleOutsideMetal {
        /// Where along the axis [m].
        at_m: f64,
    },
    /// Holes run into each other.
    HolesMeet,
    /// Magnets that cover more than a turn, or have no length or thickness.
    MagnetsNoRing,
    /// A magnet in a piece's room.
    MagnetInMetal {
        /// The piece's name.
        piece: String,
    },
    /// Magnets in each other's room.
    MagnetsMeet,
    /// A magnet does not touch the metal that it sits on.
    MagnetNotSeated {
        /// Gap between them [m]; `None` where there is no metal behind it.
        gap_m: Option<f64>,
    },
    /// Diameters of a cut on a piece's outside or inside, which is cut all along.
    ZoneDiametersOnSide,
    /// A zone that does not lie on its face.
    ZoneOffFace {
        /// Inside diameter of the face [m].
        inside_m: f64,
        /// Outside diameter of it [m].
        outside_m: f64,
    },
    /// A cut through the whole wall.
    CutThrough {
        /// The deepest cut [m].
        deepest_m: f64,
        /// The wall [m].
        wall_m: f64,
    },
    /// A plate's mass without its time, or the other way round.
    PlateIncomplete,
    /// A swing on wires whose length is not given.
    WiresWithoutLength,
    /// A wire's length or a plate for a swing on a knife edge.
    WiresOnKnifeEdge,
    /// Run-downs in which the disc did not lengthen the time.
    DiscDidNothing,
    /// Coils without teeth, or the other way round.
    CoilsIncomplete,
    /// More coils than teeth to carry them.
    MoreCoilsThanTeeth {
        /// Coils.
        coils: u8,
        /// Teeth.
        teeth: u8,
    },
    /// Proof stress above the tensile strength.
    ProofAboveTensile {
        /// Proof stress [Pa].
        proof_pa: f64,
        /// Tensile strength [Pa].
        tensile_pa: f64,
    },
    /// More windings of a source coil than are followed.
    TooManyWindings {
        /// Given.
        given: usize,
        /// Most.
        most: usize,
    },
    /// Both an angle and a time of dwell, or neither.
    OneDwell,
    /// A dwell that does not fit between two sparks.
    DwellTooLong {
        /// Dwell [rad crank].
        dwell_rad: f64,
        /// From spark to spark [rad crank].
        between_rad: f64,
    },
    /// A worn plug's gap that is less than the gap.
    WornBelowNew {
        /// Worn gap [m].
        worn_m: f64,
        /// Gap [m].
        gap_m: f64,
    },
    /// Two loads have one name.
    SameLoad,
    /// A load with both power and current, or with neither.
    PowerOrAmps,
    /// A load by its power, and no battery that says at which volts.
    PowerWithoutBattery,
    /// A regulator without the volts that it holds.
    RegulatorWithoutVolts,
    /// Volts that a regulator holds, without a regulator.
    VoltsWithoutRegulator,
    /// Amps with all leads joined without their speed, or the other way round.
    JoinedIncomplete,
    /// An inductance that was measured, and amps with all leads joined in place of it.
    InductanceOrJoined,
    /// The battery's charge, and the rest volts that tell it.
    ChargeOrRestVolts,
    /// Readings that do not say whether everything was switched on.
    LightsNotSaid,
    /// A regulator that holds volts far from the battery's.
    RegulatorNotForBattery {
        /// Volts of the regulator [V].
        held_v: f64,
        /// Nominal volts of the battery [V].
        battery_v: f64,
    },
    /// Volts at the ignition that its battery does not have.
    SupplyNotForBattery {
        /// Volts at the ignition [V].
        supply_v: f64,
        /// Nominal volts of the battery [V].
        battery_v: f64,
    },
    /// A reading between leads that this alternator has not.
    NoSuchLead,
    /// A ride of its own without parts, or parts of a ride that has its own already.
    RideParts,
    /// Shares of a ride that do not make a whole.
    RideShares {
        /// Their sum \[1\].
        total: f64,
    },
    /// The meter's leads have more than what was read through them.
    LeadsExceed {
        /// Of the leads [Ω].
        leads_ohm: f64,
        /// As shown [Ω].
        shown_ohm: f64,
    },
    /// A wire with both section and gauge number, or with neither.
    SectionOrGauge,
    /// No load has this name.
    NoSuchLoad {
        /// As written.
        found: String,
        /// The name that looks most like it.
        did_you_mean: Option<String>,
        /// The names.
        known: Vec<String>,
    },
}
