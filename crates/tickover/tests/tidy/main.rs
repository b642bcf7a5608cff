//! The habits of the house, looked for in the tree itself: documents that do not drift, constants with unit and source,
//! rooms that know only what they may. Each test lists every offender with its place.

mod constants;
mod documents;
mod rooms;
mod rust;
mod size;
mod tree;
