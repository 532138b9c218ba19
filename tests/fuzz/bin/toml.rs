//! The settings of a storm, or a rate card. The first byte says which.
#![no_main]

use hailyard_fuzz::{CARD, STORM, try_storm};
use libfuzzer_sys::fuzz_target;

const COUNTS: &[u8] = b"stock,panel,dime\nA1,hood,4\n";
const CREW: &[u8] = b"name,trades,speed\nAda,dents; strip; finish,1\n";

fuzz_target!(|bytes: &[u8]| {
    let Some((which, text)) = bytes.split_first() else {
        return;
    };
    let (storm, card) = if *which == b'c' {
        (STORM.as_bytes(), text)
    } else {
        (text, CARD.as_bytes())
    };
    try_storm(&[
        ("storm.toml", storm),
        ("rates/card.toml", card),
        ("counts/a.csv", COUNTS),
        ("crew.csv", CREW),
    ]);
});
