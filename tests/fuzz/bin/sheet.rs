//! A count sheet, a lot list or an agreed list as CSV. The first byte says which.
#![no_main]

use hailyard_fuzz::try_storm;
use libfuzzer_sys::fuzz_target;

const COUNTS: &[u8] = b"stock,panel,dime\nA1,hood,4\n";

fuzz_target!(|bytes: &[u8]| {
    let Some((which, text)) = bytes.split_first() else {
        return;
    };
    match which {
        b'v' => try_storm(&[("vehicles.csv", text), ("counts/a.csv", COUNTS)]),
        b'a' => try_storm(&[("agreed.csv", text), ("counts/a.csv", COUNTS)]),
        _ => try_storm(&[("counts/a.csv", text)]),
    }
});
