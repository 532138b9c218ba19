//! One cell of each grammar: a car-row cell, an oversize list, a removal list,
//! a count, a diameter. Lines of the input are cells.
#![no_main]

use hailyard_fuzz::try_storm;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let mut cells = text
        .split('\n')
        .map(|cell| format!("\"{}\"", cell.replace('"', "\"\"")));
    let mut next = || cells.next().unwrap_or_default();
    let car = format!(
        "stock,hood,roof,remove\nA1,{},{},{}\n",
        next(),
        next(),
        next()
    );
    let panel = format!(
        "stock,panel,dime,oversize,remove,metal,prior\nB2,hood,{},{},{},{},{}\n",
        next(),
        next(),
        next(),
        next(),
        next()
    );
    let dent = format!(
        "stock,panel,diameter,count\nC3,hood,{},{}\n",
        next(),
        next()
    );
    try_storm(&[
        ("counts/car.csv", car.as_bytes()),
        ("counts/panel.csv", panel.as_bytes()),
        ("counts/dent.csv", dent.as_bytes()),
    ]);
});
