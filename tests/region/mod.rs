//! One big region of counts, priced in every way: what `price` writes equals
//! an independent model byte for byte, with lines and without, whatever the
//! sheet looks like; and every fault is named at its place.

mod above;
mod blocks;
mod both;
mod bytes;
mod cards;
mod cautions;
mod cells;
mod columns;
mod entries;
mod facts;
mod faults;
mod layouts;
mod lots;
mod mangled;
mod many;
mod planted;
mod reached;
mod repeats;
mod rows;
mod said;
mod shapes;
mod sheet;
mod tables;
mod ways;

/// A storm's files: their names, and what they hold.
type Files = Vec<(String, Vec<u8>)>;
