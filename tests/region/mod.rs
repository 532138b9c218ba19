//! One big region of counts, priced in every way: what `price` writes equals
//! an independent model byte for byte, with lines and without, whatever the
//! sheet looks like; and every fault is named at its place.

mod blocks;
mod both;
mod cards;
mod cells;
mod lots;
mod reached;
mod shapes;
mod sheet;
mod tables;
mod ways;

/// A storm's files: their names, and what they hold.
type Files = Vec<(String, Vec<u8>)>;
