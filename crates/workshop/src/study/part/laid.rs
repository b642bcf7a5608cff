//! The parts of a kind laid out for ranking: one attribute of all of them close together, so that tens of thousands are gone through without a look at the parts themselves.

use super::{
    kind::{Kind, Measure},
    price::{Asking, Price},
    value::Value,
};
use physics::within::Doubted;

/// A number that was not measured: no uncertainty is below nought.
const NOT_MEASURED: Doubted = (0.0, -1.0);
/// A word that is not known; no kind has as many.
const NO_WORD: u32 = u32::MAX;

/// One attribute of all parts of a kind.
#[derive(Clone, Debug, PartialEq)]
pub enum Column {
    /// Numbers with their standard uncertainties [SI].
    Numbers(Vec<Doubted>),
    /// Places of words.
    Words(Vec<u32>),
}

/// The parts of one kind, in the order of the shelf.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Laid {
    /// Which parts of the shelf they are.
    pub parts: Vec<usize>,
    /// Their attributes, in the order of the kind.
    pub columns: Vec<Column>,
    /// The beginnings of their names, as numbers that sort as they do: among many parts that stand alike, names need not be fetched to be told apart.
    pub begins: Vec<u64>,
    /// What is asked for them.
    pub asking: Vec<Option<Asking>>,
}

impl Laid {
    /// Nothing yet of a kind.
    pub fn new(kind: &Kind) -> Self {
        let column = |measure: &Measure| match measure {
            Measure::Number(..) => Column::Numbers(Vec::new()),
            Measure::Words(_) => Column::Words(Vec::new()),
        };
        Self { columns: kind.attributes.iter().map(|a| column(&a.measure)).collect(), ..Self::default() }
    }

    /// Lays a part to the others.
    pub fn put(&mut self, part: usize, id: &str, values: &[Option<Value>], price: Option<&Price>) {
        self.parts.push(part);
        self.begins.push(beginning(id));
        self.asking.push(price.map(Asking::of));
        for (column, value) in self.columns.iter_mut().zip(values) {
            match (column, value) {
                (Column::Numbers(all), Some(Value::Number { reading, .. })) => {
                    all.push((reading.si, reading.standard_uncertainty_si()));
                }
                (Column::Numbers(all), _) => all.push(NOT_MEASURED),
                (Column::Words(all), Some(Value::Word(word))) => all.push(u32::try_from(*word).unwrap_or(NO_WORD)),
                (Column::Words(all), _) => all.push(NO_WORD),
            }
        }
    }
}

/// A number that was measured.
pub fn measured(number: Doubted) -> Option<Doubted> {
    (number.1 >= 0.0).then_some(number)
}

/// A word that is known.
pub fn known(word: u32) -> Option<usize> {
    (word != NO_WORD).then_some(word as usize)
}

/// The first bytes of a name as a number.
fn beginning(name: &str) -> u64 {
    let mut first = [0; 8];
    first.iter_mut().zip(name.bytes()).for_each(|(to, byte)| *to = byte);
    u64::from_be_bytes(first)
}
