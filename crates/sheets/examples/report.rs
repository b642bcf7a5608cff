//! Prints the report of an invented machine: `cargo run -p sheets --example report -- WIDTH [plain]`.

#[path = "../tests/common/mod.rs"]
mod common;

fn main() {
    let width = std::env::args().nth(1).and_then(|w| w.parse().ok()).unwrap_or(80);
    let plain = std::env::args().nth(2).is_some();
    let style = if plain { sheets::report::Style::PLAIN } else { sheets::report::Style { colour: false, unicode: true } };
    print!("{}", sheets::report::study(&common::machine(), &common::study(), width, style));
}
