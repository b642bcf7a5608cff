//! The whole book in open formats.

use crate::{AT, full_book, reading, stamp};
use jobbook::{Book, Draft, Place};
use std::io::Read;
use tickover::exchange::{everything, job_file, readings, write_up};

fn names(zip: &mut zip::ZipArchive<std::fs::File>) -> Vec<String> {
    (0..zip.len()).map(|n| zip.by_index(n).unwrap().name().unwrap().into_owned()).collect()
}

fn text_in(zip: &mut zip::ZipArchive<std::fs::File>, name: &str) -> String {
    let mut text = String::new();
    zip.by_name(name).unwrap_or_else(|e| panic!("{name}: {e}")).read_to_string(&mut text).unwrap();
    text
}

#[test]
fn everything_goes_out_in_open_formats() {
    let folder = tempfile::tempdir().unwrap();
    let (book, job) = full_book(&folder.path().join("book.sqlite"));
    let target = folder.path().join("all.zip");
    let exported = everything::export(&book, &target, AT).unwrap();
    assert_eq!((exported.machines, exported.jobs, exported.readings, exported.attachments), (3, 1, 2, 1));
    let mut zip = zip::ZipArchive::new(std::fs::File::open(&target).unwrap()).unwrap();

    // What is said in the job's file is what the book says, and has the form that the schema says.
    let schema: serde_json::Value = serde_json::from_str(&text_in(&mut zip, "log.schema.json")).unwrap();
    let valid = jsonschema::validator_for(&schema).unwrap();
    for name in ["jobs/2026-0001.json", "machines/corran-360/log.json", "workshop.json"] {
        let file: serde_json::Value = serde_json::from_str(&text_in(&mut zip, name)).unwrap();
        let wrong: Vec<String> = valid.iter_errors(&file).map(|e| format!("{e} at {}", e.instance_path())).collect();
        assert!(wrong.is_empty(), "{name}: {wrong:#?}");
    }
    let file: serde_json::Value = serde_json::from_str(&text_in(&mut zip, "jobs/2026-0001.json")).unwrap();
    let log = book.log(Place::Job(job)).unwrap();
    assert_eq!(file["log"].as_array().unwrap().len(), log.len());
    for (there, entry) in file["log"].as_array().unwrap().iter().zip(&log) {
        assert_eq!(there["kind"], entry.body.kind_name());
        assert_eq!(there["body"], serde_json::to_value(&entry.body).unwrap()["body"]);
        assert_eq!(there["replaces"].as_i64(), entry.replaces.map(|e| e.0));
    }
    assert!(!valid.is_valid(&serde_json::json!({"log": []})), "the schema refuses something");

    let revision = text_in(&mut zip, "machines/corran-360/revision-0001.toml");
    assert_eq!(revision, book.machine("corran-360").unwrap().newest.text);
    let csv = text_in(&mut zip, "readings.csv");
    assert_eq!(readings::read(csv.as_bytes(), AT).unwrap().len(), 2);
    assert!(text_in(&mut zip, "README.txt").contains("readings.csv"));
    let names = names(&mut zip);
    let hash = jobbook::ContentHash::of(b"not really a picture");
    assert!(names.contains(&format!("attachments/{hash}.txt")), "named after what is in it: {names:?}");
    assert!(names.iter().all(|n| !n.contains("..") && !n.contains("passwd")), "{names:?}");

    // An older one is left alone, and nothing else is left behind.
    let before = std::fs::read(&target).unwrap();
    assert!(everything::export(&book, &target, AT).is_err());
    assert_eq!(std::fs::read(&target).unwrap(), before);
    let left =
        std::fs::read_dir(folder.path()).unwrap().filter(|e| e.as_ref().unwrap().file_name().to_string_lossy().contains("part"));
    assert_eq!(left.count(), 0);
}

#[test]
fn an_export_is_of_one_moment_while_others_write() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.sqlite");
    let (mut book, job) = full_book(&path);
    // Enough that the export takes a while.
    for _ in 0..200 {
        let drafts: Vec<Draft> = (0..20).map(|_| Draft::new(reading("pickup.gap", "0.55 mm"))).collect();
        book.append(Place::Job(job), stamp("E."), &drafts).unwrap();
    }
    let stop = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(false));
    let (stopped, other) = (stop.clone(), path.clone());
    let writer = std::thread::spawn(move || {
        let (mut book, _) = Book::open(&other).unwrap();
        let mut written = 0;
        while !stopped.load(std::sync::atomic::Ordering::Relaxed) {
            book.append(Place::Job(job), stamp("M."), &[Draft::new(reading("pickup.gap", "0.60 mm"))]).unwrap();
            written += 1;
        }
        written
    });
    let before = book.log(Place::Job(job)).unwrap().len();
    let exported = everything::export(&book, &folder.path().join("all.zip"), AT).unwrap();
    stop.store(true, std::sync::atomic::Ordering::Relaxed);
    let written = writer.join().unwrap();
    assert!(written > 0 && book.log(Place::Job(job)).unwrap().len() > before, "somebody wrote meanwhile");
    let mut zip = zip::ZipArchive::new(std::fs::File::open(folder.path().join("all.zip")).unwrap()).unwrap();
    let file: serde_json::Value = serde_json::from_str(&text_in(&mut zip, "jobs/2026-0001.json")).unwrap();
    let in_log = file["log"].as_array().unwrap().iter().filter(|e| e["kind"] == "reading").count();
    let in_csv = readings::read(text_in(&mut zip, "readings.csv").as_bytes(), AT).unwrap().len();
    assert_eq!((in_log, in_csv), (exported.readings, exported.readings), "both files are of one moment");
}

#[test]
fn published_schemas_are_those_of_the_program() {
    for (name, schema) in [("log", job_file::schema()), ("write-up", write_up::schema())] {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../docs/{name}.schema.json"));
        let published = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(published == format!("{schema:#}\n"), "write it again: tickover schema {name} > docs/{name}.schema.json");
    }
}
