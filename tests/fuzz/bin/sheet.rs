//! A count sheet, or the lot, agreed, crew, work, paid or received list or the bill
//! ledger as CSV. The first byte says which.
#![no_main]

use hailyard_fuzz::try_storm;
use libfuzzer_sys::fuzz_target;

const COUNTS: &[u8] = b"stock,panel,dime\nA1,hood,4\nA1,roof,9\n";
const CREW: &[u8] =
    b"name,pay,guarantee,employee\nAda,45%,90.00,yes\nBen,30% + 7.125/h,,\nCyd,20.00/car + 9.00/day,,yes\n";
const WORK: &[u8] = b"date,stock,panel,person,hours,part,redo\n2026-06-15,A1,,Ada,2,,\n2026-06-16,A1,roof,Ben,1,1/3,yes\n";

const AGREED: &[u8] = b"stock,item,amount,by,date\nA1,approved,13.00,Ann,2026-06-20\n";
const BILLS: &[u8] = b"number,date,due,kind,to,stock,dents,amount\nB-7,2026-07-01,2026-07-31,bill,Harl Cover,A1,13.00,13.00\n";

fuzz_target!(|bytes: &[u8]| {
    let Some((which, text)) = bytes.split_first() else {
        return;
    };
    match which {
        b'v' => try_storm(&[("vehicles.csv", text), ("counts/a.csv", COUNTS)]),
        b'a' => try_storm(&[("agreed.csv", text), ("counts/a.csv", COUNTS)]),
        b'c' => try_storm(&[
            ("crew.csv", text),
            ("work.csv", WORK),
            ("counts/a.csv", COUNTS),
        ]),
        b'w' => try_storm(&[
            ("crew.csv", CREW),
            ("work.csv", text),
            ("counts/a.csv", COUNTS),
        ]),
        b'p' => try_storm(&[
            ("crew.csv", CREW),
            ("work.csv", WORK),
            ("paid.csv", text),
            ("counts/a.csv", COUNTS),
        ]),
        b'b' => try_storm(&[
            ("agreed.csv", AGREED),
            ("bills.csv", text),
            ("counts/a.csv", COUNTS),
        ]),
        b'r' => try_storm(&[
            ("agreed.csv", AGREED),
            ("bills.csv", BILLS),
            ("received.csv", text),
            ("counts/a.csv", COUNTS),
        ]),
        _ => try_storm(&[("counts/a.csv", text)]),
    }
});
