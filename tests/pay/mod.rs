//! Who gets what.

mod command;
mod reference;
mod rules;
mod shares;

/// The storms of `tests/data/pay`, whose split an independent program made.
const STORMS: [&str; 8] = [
    "worked-example",
    "plain-7601",
    "plain-7602",
    "edge-7611",
    "edge-7612",
    "edge-7613",
    "edge-7614",
    "edge-7615",
];
