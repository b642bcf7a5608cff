//! Recordings as files: what is read, what is refused and how it is said; `tickover recording` and `tickover synthesize` together.

use proptest::prelude::*;
use std::{
    path::Path,
    process::{Command, Output},
};
use tickover::exchange::recording::{Columns, Incoming, Note, WavOut};

fn tickover(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tickover"))
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .output()
        .expect("it runs")
}

fn corran() -> &'static str {
    concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/corran-360.toml")
}

/// Everything of a file: rate, both channels, notes.
type Whole = (f64, [Vec<f32>; 2], Vec<Note>);

fn read(bytes: &[u8]) -> Result<Whole, String> {
    let mut incoming = Incoming::open(bytes, Some(bytes.len() as u64), &Columns::default()).map_err(|fault| fault.said())?;
    let mut all = [Vec::new(), Vec::new()];
    let mut block = [Vec::new(), Vec::new()];
    while incoming.next_block(&mut block).map_err(|fault| fault.said())? {
        all.iter_mut().zip(&block).for_each(|(a, b)| a.extend(b));
    }
    Ok((incoming.rate_hz(), all, incoming.notes()))
}

/// A heading by hand (RIFF as published in 1991, from memory) and samples behind it.
fn wav(tag: u16, channels: u16, rate: u32, bits: u16, told: u32, samples: &[u8]) -> Vec<u8> {
    let block = channels * bits.div_ceil(8);
    let mut b = b"RIFF\0\0\0\0WAVEJUNK\x03\0\0\0abc\0fmt ".to_vec();
    let extensible = tag > 0xFF;
    b.extend((if extensible { 40u32 } else { 16 }).to_le_bytes());
    b.extend((if extensible { 0xFFFE } else { tag }).to_le_bytes());
    b.extend(channels.to_le_bytes());
    b.extend(rate.to_le_bytes());
    b.extend((rate * u32::from(block)).to_le_bytes());
    b.extend(block.to_le_bytes());
    b.extend(bits.to_le_bytes());
    if extensible {
        b.extend([22, 0]);
        b.extend(bits.to_le_bytes());
        b.extend([3, 0, 0, 0, (tag >> 8) as u8]);
        b.extend([0; 15]);
    }
    b.extend(b"data");
    b.extend(told.to_le_bytes());
    b.extend(samples);
    b
}

#[test]
fn every_depth_gives_the_same_values() {
    // −0.5, 0.25 in each.
    let files = [
        wav(1, 2, 48_000, 8, 2, &[64, 160]),
        wav(1, 2, 48_000, 16, 4, &[0, 0xC0, 0, 0x20]),
        wav(1, 2, 48_000, 24, 6, &[0, 0, 0xC0, 0, 0, 0x20]),
        wav(1, 2, 48_000, 32, 8, &[0, 0, 0, 0xC0, 0, 0, 0, 0x20]),
        wav(3, 2, 48_000, 32, 8, &[(-0.5f32).to_le_bytes(), 0.25f32.to_le_bytes()].concat()),
        wav(3, 2, 48_000, 64, 16, &[(-0.5f64).to_le_bytes(), 0.25f64.to_le_bytes()].concat()),
        // Extensible: integers of 24 bits.
        wav(0x100, 2, 48_000, 24, 6, &[0, 0, 0xC0, 0, 0, 0x20]),
    ];
    for (i, file) in files.iter().enumerate() {
        let (rate, [a, b], notes) = read(file).unwrap_or_else(|e| panic!("{i}: {e}"));
        assert_eq!((rate, a, b, notes), (48_000.0, vec![-0.5], vec![0.25], vec![]), "{i}");
    }
}

#[test]
fn what_ends_early_or_lies_is_used_and_said() {
    let samples: Vec<u8> = (0..400u16).flat_map(u16::to_le_bytes).collect();
    for told in [100_000, u32::MAX - 1, u32::MAX, 0] {
        let (_, [a, _], notes) = read(&wav(1, 2, 48_000, 16, told, &samples)).expect("it is read");
        assert_eq!(a.len(), 200, "{told}");
        let note = if told == 0 || told == u32::MAX { Note::LengthNotTold } else { Note::EndsEarly };
        assert_eq!(notes, [note], "{told}");
    }
    // Less than there is: the rest is no sound.
    assert_eq!(read(&wav(1, 2, 48_000, 16, 400, &samples)).expect("it is read").1[0].len(), 100);
    let (_, [a, b], notes) = read(&wav(1, 1, 44_100, 16, 800, &samples)).expect("it is read");
    assert!(a.len() == 400 && a == b && notes == [Note::Mono]);
    assert_eq!(read(&wav(1, 4, 44_100, 16, 800, &samples)).expect("it is read").2, [Note::MoreChannels(4)]);
}

#[test]
fn what_is_no_recording_is_refused_in_a_sentence() {
    let cut = wav(1, 2, 48_000, 16, 4, &[0; 4]);
    for (bytes, says) in [
        (b"".to_vec(), "nothing in the file"),
        (b"\x89PNG\r\n\x1a\n0000".to_vec(), "neither a WAV file nor a table"),
        (b"RIFF\0\0\0\0AVI LIST".to_vec(), "neither a WAV file nor a table"),
        (cut[..30].to_vec(), "heading of the WAV file"),
        (cut[..cut.len() - 4].to_vec(), "no samples behind it"),
        (wav(1, 0, 48_000, 16, 4, &[0; 4]), "0 channels"),
        (wav(1, 2, 0, 16, 4, &[0; 4]), "samples a second"),
        (wav(2, 2, 48_000, 4, 4, &[0; 4]), "format 2, 4 bits"),
        (b"hello, I am 1 letter\nand no table\n".to_vec(), "No line of the table"),
    ] {
        let said = read(&bytes).expect_err("it is refused");
        assert!(said.contains(says), "{said}");
    }
}

#[test]
fn tables_of_scopes_with_their_own_units_and_commas() {
    let row = |i: i32, comma: bool, sep: char| {
        let (t, a, b) = (f64::from(i) * 0.02, f64::from(i % 7) * 125.0, f64::from(i % 3) * 0.5);
        let line = format!("{t:.3}{sep}{a:.1}{sep}{b:.2}\n");
        if comma { line.replace('.', ",") } else { line }
    };
    let point: String = (0..3000).map(|i| row(i, false, ',')).collect();
    let comma: String = (0..3000).map(|i| row(i, true, ';')).collect();
    for (head, body) in [
        ("model,something\nTime (ms),Channel A (mV),Channel B (V)\n", point.clone()),
        ("Zeit;Kanal A;Kanal B\n(ms);(mV);(V)\n\n", comma.clone()),
    ] {
        let (rate, [a, b], _) = read(format!("{head}{body}").as_bytes()).expect("it is read");
        assert!((rate / 50_000.0 - 1.0).abs() < 1e-6, "{rate}");
        assert_eq!((a.len(), a[3], b[4]), (3000, 0.375, 0.5));
    }
    let head = "Time (ms),Channel A (mV),Channel B (V)\n";
    let broken = format!("{head}{}", point.replacen("0.040,250.0", "0.040,25o.0", 1));
    assert!(read(broken.as_bytes()).expect_err("a letter").contains("Line 4, column 2: “25o.0” is no number"));
    let short = format!("{head}{}", point.replacen("0.040,250.0,1.00", "0.040,250.0", 1));
    assert!(read(short.as_bytes()).expect_err("a cell too few").contains("Line 4, column 3"));
    let gap: String = (0..3000).filter(|i| *i != 1000).map(|i| row(i, false, ',')).collect();
    assert!(read(format!("{head}{gap}").as_bytes()).expect_err("a gap").contains("Line 1002: time does not go on evenly"));
}

#[test]
fn what_is_written_is_read_again() {
    let samples = vec![vec![0.5f32, -1.0, 0.25], vec![0.0, 1.0, -0.125]];
    let mut out = WavOut::new(std::io::Cursor::new(Vec::new()), 2, 48_000).expect("it is written");
    out.write(&samples).expect("it is written");
    let bytes = out.finish().expect("it is written").into_inner();
    let (rate, channels, notes) = read(&bytes).expect("it is read");
    assert!(rate == 48_000.0 && notes.is_empty());
    for (a, b) in channels.iter().flatten().zip(samples.iter().flatten()) {
        assert!((a - b).abs() < 1.0 / 16_000.0, "{a} {b}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]
    /// No bytes make it panic; what is read is as long as can be.
    #[test]
    fn no_bytes_panic(bytes in prop::collection::vec(any::<u8>(), 0..400), head in 0usize..4) {
        let mut file = match head {
            0 => Vec::new(),
            1 => wav(1, 2, 48_000, 16, 64, &[]),
            2 => b"Time,A,B\n0,0,0\n0.0001,1,".to_vec(),
            _ => b"RIFF\0\0\0\0WAVEfmt ".to_vec(),
        };
        file.extend(&bytes);
        let _ = read(&file);
    }

    /// One changed byte in a good file neither.
    #[test]
    fn one_wrong_byte_does_not_panic(at in 0usize..60, byte in any::<u8>()) {
        let mut file = wav(1, 2, 48_000, 16, 400, &[7; 400]);
        file[at] = byte;
        let _ = read(&file);
    }
}

#[test]
fn made_and_heard_again_from_file_to_answer() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |arguments: &[&str]| tickover(folder.path(), arguments);
    let wishes = ["--seconds", "6", "--sweep-rate", "2500", "--noise", "26", "--hum", "0.3", "--swapped", "--inverted"];
    let made = run(&[&["synthesize", corran(), "a.wav", "--truth", "a.csv"], &wishes[..]].concat());
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    // An existing file is left alone.
    assert_eq!(run(&["synthesize", corran(), "a.wav"]).status.code(), Some(1));
    let out = run(&["recording", "a.wav", "--machine", corran(), "--json", "--csv", "b.csv"]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let answer: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let found = &answer["ignition"];
    assert_eq!((&found["trigger_channel"], &found["mark"]["leading_end_up"]), (&2.into(), &false.into()));
    assert_eq!(found["rotor"]["verdict"], "as_measured");
    assert_eq!((&found["missing"], &found["stray"]), (&0.into(), &0.into()));
    let lines = |name: &str| std::fs::read_to_string(folder.path().join(name)).expect("it is there").lines().count();
    assert!(lines("a.csv").abs_diff(lines("b.csv")) <= 3);
    let sheet = run(&["recording", "a.wav", "--machine", corran(), "--sheet", "-"]);
    assert!(
        sheet.stdout.starts_with(b"%PDF")
            && sheet.stdout == run(&["recording", "a.wav", "--machine", corran(), "--sheet", "-"]).stdout
    );
    let text = String::from_utf8(run(&["recording", "a.wav", "--machine", corran(), "--width", "80"]).stdout).expect("text");
    assert!(text.contains("as long as measured") && text.lines().all(|l| l.chars().count() <= 80), "{text}");
}

#[test]
fn an_exhaust_from_file_to_lines_for_the_machine_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |arguments: &[&str]| tickover(folder.path(), arguments);
    let wishes = [
        "--exhaust",
        "--run",
        "blip",
        "--seconds",
        "16",
        "--samples",
        "16000",
        "--noise",
        "12",
        "--fastest",
        "4500",
        "--sweep-rate",
        "3000",
    ];
    assert!(run(&[&["synthesize", corran(), "a.wav"], &wishes[..]].concat()).status.success());
    let out = run(&["recording", "a.wav", "--machine", corran(), "--exhaust"]);
    let text = String::from_utf8(out.stdout).expect("text");
    assert!(
        text.contains("[idle]") && text.contains("speed = { value = \"11") && text.contains("hangs_at = { value = \"19"),
        "{text}"
    );
    // Taken for trigger and spark it is refused: one channel.
    let out = run(&["recording", "a.wav", "--machine", corran()]);
    assert!(out.status.code() == Some(1) && String::from_utf8_lossy(&out.stderr).contains("--exhaust"));
}

#[test]
fn a_silent_sparse_file_is_refused_once_it_was_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("huge.wav");
    let file = std::fs::File::create(&path).expect("a file");
    {
        use std::io::Write;
        (&file).write_all(&wav(1, 2, 48_000, 16, 0, &[])).expect("it is written");
    }
    // Sparse: no disk is used. The command line was tried with 2 GB by hand (bench/recording.py).
    file.set_len(64 * 1024 * 1024).expect("it is sparse");
    let out = tickover(folder.path(), &["recording", "huge.wav", "--machine", corran(), "--json"]);
    assert_eq!(out.status.code(), Some(4));
    assert!(String::from_utf8_lossy(&out.stdout).contains("silent"));
}

/// Made by SciPy (`reference/recording/make.py`): poles of 1.5 mm over 0.6 and 0.9 mm, 182° apart. By tanh(b/2w)/g, w = 2g/π, the peaks stand as 0.599 to 1.
#[test]
fn two_pickups_side_by_side() {
    let folder = tempfile::tempdir().expect("a folder");
    let wav = concat!(env!("CARGO_MANIFEST_DIR"), "/../../reference/recording/pickups.wav");
    let out = tickover(folder.path(), &["recording", wav, "--machine", corran(), "--pickups", "--json"]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let answer: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let found = &answer["pickups"];
    assert_eq!((&found["verdict"], &found["weaker"]), (&"wider_gap".into(), &2.into()), "{found}");
    let within = |what: &serde_json::Value, truth: f64| {
        let (value, half) = (what["value"].as_f64().expect("a value"), what["plus_minus"].as_f64().expect("a ±"));
        assert!((value - truth).abs() <= half, "{value} ± {half}: {truth}");
    };
    within(&found["peak_ratio"], 0.599);
    within(&found["apart_deg"], 182.0);
    for (pickup, gap) in [(0, 0.6), (1, 0.9)] {
        let bound = |name: &str| found["each"][pickup][name]["value"].as_f64().expect("a bound");
        let (least, most) = (bound("gap_at_least_mm"), bound("gap_at_most_mm"));
        assert!(least < gap && gap < most && least > 0.5 * gap, "{least} {gap} {most}");
        assert_eq!(found["each"][pickup]["leading_up"], true);
    }
    let text = String::from_utf8(tickover(folder.path(), &["recording", wav, "--machine", corran(), "--pickups"]).stdout);
    assert!(text.expect("text").contains("its gap is"));
    let sheet = tickover(folder.path(), &["recording", wav, "--machine", corran(), "--pickups", "--sheet", "-"]);
    assert!(sheet.stdout.starts_with(b"%PDF"));
    // Trigger and spark are no two pickups.
    assert!(tickover(folder.path(), &["synthesize", corran(), "a.wav", "--seconds", "4"]).status.success());
    assert_eq!(tickover(folder.path(), &["recording", "a.wav", "--machine", corran(), "--pickups"]).status.code(), Some(4));
}

/// The same engine with its plate turned by 2° and its missing sparks mended.
#[test]
fn before_and_after() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |arguments: &[&str]| tickover(folder.path(), arguments);
    let tarn = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/tarn-500.toml");
    let file = std::fs::read_to_string(tarn).expect("the example");
    let turned = file.replace("static_advance = { value = \"5 ", "static_advance = { value = \"7 ");
    assert_ne!(file, turned);
    std::fs::write(folder.path().join("turned.toml"), turned).expect("it is written");
    let wishes = ["--seconds", "14", "--sweep-rate", "1500", "--noise", "26", "--mark"];
    let made = run(&[&["synthesize", tarn, "before.wav", "--missing", "0.03"], &wishes[..]].concat());
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    assert!(run(&[&["synthesize", "turned.toml", "after.wav"], &wishes[..]].concat()).status.success());
    let asked = ["recording", "after.wav", "--before", "before.wav", "--machine", tarn, "--mark", "0°"];
    let out = run(&[&asked[..], &["--json"]].concat());
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let answer: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let change = &answer["change"];
    let mean = &change["mean"][0]["earlier_by_deg"];
    let (value, half) = (mean["value"].as_f64().expect("a value"), mean["plus_minus"].as_f64().expect("a ±"));
    assert!((value - 2.0).abs() <= half && half < 0.5, "{value} ± {half}");
    assert!(change["rows"].as_array().expect("rows").len() > 20);
    let troubles = |list: &str| -> Vec<String> {
        change[list].as_array().expect("a list").iter().map(|t| t["trouble"].as_str().expect("a name").to_owned()).collect()
    };
    assert!(troubles("gone").contains(&"missing".to_owned()) && !troubles("new").contains(&"missing".to_owned()), "{change}");
    let text = String::from_utf8(run(&asked).stdout).expect("text");
    assert!(text.contains("Against the recording before") && text.contains("Gone: missing sparks"), "{text}");
    assert!(run(&[&asked[..], &["--sheet", "-"]].concat()).stdout.starts_with(b"%PDF"));
    // Against itself nothing has moved.
    let same = run(&["recording", "after.wav", "--before", "after.wav", "--machine", tarn, "--mark", "0°"]);
    let same = String::from_utf8(same.stdout).expect("text");
    assert!(
        same.contains("the curve is the same as before") && same.contains("No trouble has gone") && same.contains("None is new"),
        "{same}"
    );
}
