//! Prints the curve report of a machine file: `cargo run -p sheets --example curve -- examples/corran-360.toml`.

fn main() {
    let path = std::env::args().nth(1).unwrap_or_default();
    let text = std::fs::read_to_string(&path).unwrap_or_default();
    match workshop::machine::read(&text) {
        Err(defects) => defects.iter().for_each(|d| println!("{}\n", sheets::words::defect(d, &path, &text))),
        Ok((machine, _)) => match workshop::study::curve::study(&machine) {
            Err(why) => println!("{}", sheets::words::not_studied(why)),
            Ok(study) => {
                print!(
                    "{}",
                    sheets::report::curve(&machine, &study, None, 80, sheets::report::Style { colour: false, unicode: true })
                )
            }
        },
    }
}
