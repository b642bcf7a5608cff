//! Help of the command line, as `--help`, the man page and the completions show it.

/// What it is, in a line.
pub const ABOUT: &str = "Ignition timing by trigger rotor, the idle, and the trim of the trigger segment";
/// What it is.
pub const LONG_ABOUT: &str = "Ignition timing by trigger rotor, the idle, and the trim of the trigger segment.

Without a command it serves the bench page on this computer alone (with --lan, in the workshop's network too) and opens the browser. No internet is needed, and nothing is sent there.";
/// Exit codes.
pub const EXIT_CODES: &str = "Exit codes:
  0    done
  1    something unexpected: a file that cannot be read or written, a damaged job book
  2    the command itself was not understood
  3    the file has defects; they are listed
  4    the study does not cover this machine; the reason is given
  130  stopped by Ctrl-C";
/// Argument or option.
pub const BOOK: &str = "The job book to use or to make [default: tickover/book.sqlite in the user's data folder]";
/// Argument or option.
pub const LAN: &str =
    "Serve the workshop's own network too: a phone or tablet is let in with a code, good once and for ten minutes";
/// Argument or option.
pub const PORT: &str = "Port to listen on; without it 7878, or any free one if that is taken";
/// Argument or option.
pub const NO_BROWSER: &str = "Print the address and leave the browser alone";
/// Command.
pub const NEW: &str = "Write a machine file with a comment at every reading, to fill in";
/// Argument or option.
pub const NEW_FILE: &str = "Where to; an existing file is left alone. Without it, or as \"-\": to the terminal";
/// Command.
pub const CHECK: &str = "Judge a machine file: every defect with its line and what to do, every default that stands in";
/// Argument or option.
pub const CHECK_WIDTH: &str = "Width of the text in columns";
/// Command.
pub const CURVE: &str = "Where the spark comes: curve, band, table, and the law that the strobe readings support";
/// Command.
pub const IDLE: &str = "Whether the engine idles steadily on its curve, and where else it can rest";
/// Command.
pub const TRIM: &str = "The least cut of the segment's trailing end that serves, and what else it changes";
/// Command.
pub const STUDY: &str = "Curve, idle and trim together";
/// Command.
pub const ROTOR: &str = "The rotor in the hand: what it weighs, what spin does to it, and what metal it may lose";
/// Argument or option.
pub const ROTOR_SHEET: &str =
    "Write the rotor's sheet too, with its section at true size, as PDF; \"-\" is the pipe, with the sheet alone in it";
/// Argument or option.
pub const TRIMMED: &str = "Count so much of the segment's trailing end as cut off already, in mm along the rim, for the balance";
/// Command.
pub const SPARK: &str = "The spark: voltage available and needed over speed, energy, coil, pickup's signal, lowest battery volts";
/// Argument or option.
pub const SPARK_SHEET: &str = "Write the spark's sheet too, as PDF; \"-\" is the pipe, with the sheet alone in it";
/// Command.
pub const WINDINGS: &str =
    "Windings that were measured: at 20 °C, against record or trade and against each other, and what ohms do not show";
/// Command.
pub const CHARGE: &str = "What the alternator gives over the speed, how faults would show, and the battery over a ride";
/// Command.
pub const WIRE: &str = "What drops over each wire, how warm it gets, whether its fuse fits, and the wiring as fitted";
/// Argument or option.
pub const OWN_SHEET: &str = "Write its sheet too, as PDF; \"-\" is the pipe, with the sheet alone in it";
/// Command.
pub const FAULT: &str =
    "From the owner's words to the cause: causes with their chances, the next test and why; asks in the terminal";
/// Argument or option.
pub const FAULT_COMPLAINT: &str = "The complaint by its name; without it they are listed in the owner's words";
/// Argument or option.
pub const FAULT_RECORDING: &str =
    "A recording of this machine (WAV or CSV) that counts: trigger and spark, two pickups, or the exhaust; may be repeated";
/// Argument or option.
pub const FAULT_JOB: &str = "A job in the book: its complaint, answers, readings and recordings stand first, and the finished jobs of the book are counted; nothing is written";
/// Argument or option.
pub const FAULT_ANSWER: &str = "What was done, in order: TEST=yes (positive), TEST=no (passed), TEST=cannot-tell, or CAUSE=put-right where the complaint stays; may be given again";
/// Argument or option.
pub const FAULT_IGNITION: &str = "Which ignition it is, where the file does not say";
/// Argument or option.
pub const FAULT_IN_HAND: &str = "A test whose known good part is in hand; may be given again";
/// Argument or option.
pub const FAULT_IDLE: &str = "Work the idle study out too, so that it counts; the first time that takes seconds";
/// Argument or option.
pub const FAULT_OWN: &str = "The workshop's own file: what it adds, and its finished jobs, counted beside the base";
/// Argument or option.
pub const FAULT_ALL: &str = "List every test, also those that are not for now, and why";
/// Argument or option.
pub const FAULT_ASK: &str = "Ask line by line even where the answers come from a pipe";
/// Command.
pub const MATCH: &str =
    "Substitute parts: which part on the shelf does what this machine needs, what rules others out, what to measure next";
/// Argument or option.
pub const MATCH_KIND: &str = "The kind of part; without it the kinds are listed";
/// Argument or option.
pub const MATCH_SHELF: &str = "The shelf, as CSV or TOML; without it, what the job needs and what is not known of it";
/// Argument or option.
pub const MATCH_KEPT: &str = "A shelf that the book keeps, by its name, in place of a file";
/// Command.
pub const SHELF: &str = "Write a shelf that the book keeps to one file, with its photos, to be handed on; take-in takes it in";
/// Argument or option.
pub const SHELF_NAME: &str = "The shelf's name in the book";
/// Argument or option.
pub const SHELF_FILE: &str = "The file, a new ZIP archive";
/// Argument or option.
pub const MATCH_NEED: &str = "What the job needs beside or in place of what the machine file says, as TOML";
/// Argument or option.
pub const MATCH_KINDS: &str = "The workshop's own kinds of part, adaptations and sets, beside those of the program";
/// Argument or option.
pub const MATCH_SET: &str =
    "Parts that only work together: \"ignition\" is module, coil and pickup; \"charging\" is rotor, stator and regulator";
/// Argument or option.
pub const MATCH_IDLE: &str = "Rest speeds at idle too, for a part that moves the curve or turns with the crank; needs the engine's surface, seconds the first time";
/// Argument or option.
pub const MATCH_SHEET: &str =
    "Write the match sheet with the shopping list too, as PDF; \"-\" is the pipe, with the sheet alone in it";
/// Argument or option.
pub const MATCH_MOST: &str = "How many parts are shown one by one, the best first";
/// Command.
pub const NETLIST: &str = "Write the charging circuit at one speed, or one spark, as a netlist for ngspice";
/// Argument or option.
pub const NETLIST_SPEED: &str = "Crank speed [default: half of the top speed]";
/// Argument or option.
pub const NETLIST_SPARK: &str =
    "The circuit of one spark instead, from the moment the switch acts; at the kick, unless a speed is given";
/// Argument or option.
pub const NETLIST_FAULT: &str = "Put a fault into it, in the first lead where it has a place";
/// Argument or option.
pub const NETLIST_OUTPUT: &str = "Where to; without it, or as \"-\", to the pipe";
/// Command.
pub const SHEET: &str = "Write the sheet to work from, with the rim template true to scale, as PDF";
/// Argument or option.
pub const LEADS: &str = "Which end of the segment leads, left or right, as the sheet asks before it is written";
/// Argument or option.
pub const ROTOR_LEADS: &str = "Which end of the segment leads, left or right, as the sheet asks before it is written; the right answer also lets --svg save rotor-holes.svg";
/// Argument or option.
pub const SHEET_OUTPUT: &str = "Where to; \"-\" is the pipe [default: the machine file's name with .pdf, in this folder]";
/// Command.
pub const BACKUP: &str = "Copy the whole job book to a file, also while the page is open, and read the copy again to prove it";
/// Argument or option.
pub const BACKUP_FILE: &str = "Where to; an existing file is left alone";
/// Argument or option.
pub const BACKUP_BOOK: &str = "The job book [default: the bench page's]";
/// Command.
pub const RESTORE: &str = "Make the job book what a backup is. The book as it was is kept beside it first";
/// Argument or option.
pub const RESTORE_FILE: &str = "The backup";
/// Argument or option.
pub const RESTORE_BOOK: &str = "The job book [default: the bench page's]";
/// Command.
pub const SCHEMA: &str = "Print the JSON Schema of the machine file, of an exported log or of a write-up";
/// Argument or option.
pub const SCHEMA_OF: &str = "Of which file";
/// Command.
pub const EXPORT: &str = "Write the whole book out in open formats, as one ZIP file, also while the page is open";
/// Command.
pub const READINGS: &str = "Write readings out as CSV: of a job, of a machine, or of the whole book";
/// Argument or option.
pub const READINGS_JOB: &str = "Only those of this job";
/// Argument or option.
pub const READINGS_MACHINE: &str = "Only those of this machine, as its address names it";
/// Command.
pub const WRITE_UP: &str = "Write a job out for other mechanics, without owner, plate, frame number and names";
/// Argument or option.
pub const WRITE_UP_JOB: &str = "Number of the job, such as 2026-0014";
/// Argument or option.
pub const WRITE_UP_FILE: &str = "Where to, as HTML; an existing file is left alone. Without it, shows what would be taken out";
/// Argument or option.
pub const WRITE_UP_ALSO: &str = "A further word to take out; may be given several times";
/// Argument or option.
pub const WRITE_UP_NOTE: &str = "A note to put in, by its number; may be given several times";
/// Argument or option.
pub const WRITE_UP_PICTURE: &str = "A picture to put in, by its number; may be given several times";
/// Command.
pub const TAKE_IN: &str = "Judge and show a CSV of readings, a write-up or a shelf of another workshop, and with --keep keep it";
/// Argument or option.
pub const TAKE_IN_FILE: &str = "The file";
/// Argument or option.
pub const TAKE_IN_JOB: &str = "The job that readings belong to";
/// Argument or option.
pub const TAKE_IN_KEEP: &str = "Keep it; without this it is only judged and shown";
/// Argument or option.
pub const TAKE_IN_WHO: &str = "Who takes it in";
/// Command.
pub const COMPLETIONS: &str = "Print a completion script for a shell";
/// Argument or option.
pub const COMPLETIONS_SHELL: &str = "Which shell";
/// Command.
pub const MAN: &str = "Print the manual page, in roff";
/// Argument or option.
pub const FILE: &str = "The machine file; \"-\" reads what is piped in";
/// Argument or option.
pub const BEFORE_BOOK: &str = "The job book in which computed engines are found and kept [default: the bench page's]";
/// Argument or option.
pub const BEFORE_AFRESH: &str = "Work everything out afresh, and leave every job book alone";
/// Argument or option.
pub const JSON: &str = "Answer as JSON, format 1";
/// Argument or option.
pub const SVG: &str = "Save the pictures: in this folder, or in this file if it ends in .svg and there is one picture";
/// Argument or option.
pub const WIDTH: &str = "Width of the text in columns [default: the terminal's, 80 in a pipe]";
