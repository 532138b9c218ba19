//! Hours, a time standard and a crew for an invented lot.

use std::fmt::Write;
use std::path::Path;

const TIME: &str = r#"
[hours]
start = 2026-06-15
days = "mon-sat"
from = "07:30"
to = "18:00"
break = "45 min"
[time]
panel_setup = "6"
per_dent = { dime = "1.6", nickel = "2.1", quarter = "2.9", half-dollar = "4.2" }
oversize_base = "14"
oversize_per_mm = "0.55"
metal = { aluminium = "1.35", high-strength = "1.2" }
finish_per_car = "35"
removal_share = "0.6"
removal_factor = "0.8"
"#;

/// Hours, a standard and a crew: six of ten push dents, two strip, two finish;
/// every fifth is off for two days, every seventh leaves after three weeks.
pub fn write_time(folder: &Path, people: usize, bays: Option<usize>, more: &str) {
    let mut crew = String::from("name,trades,speed,to,off\n");
    for at in 0..people {
        let trades = ["dents", "dents", "strip", "dents", "finish", "dents; strip"][at % 6];
        let speed = ["1.0", "1.1", "0.9", "1.25", "0.8"][at % 5];
        let to = if at % 7 == 6 { "2026-07-04" } else { "" };
        let off = if at % 5 == 4 {
            "2026-06-18 to 2026-06-19"
        } else {
            ""
        };
        let _ = writeln!(crew, "Person {at},{trades},{speed},{to},{off}");
    }
    std::fs::write(folder.join("crew.csv"), crew).expect("a file");
    let path = folder.join("storm.toml");
    let storm = std::fs::read_to_string(&path).expect("the storm");
    let site = bays.map_or(String::new(), |bays| format!("[site]\nbays = {bays}\n"));
    std::fs::write(path, format!("{storm}{TIME}{site}{more}")).expect("a file");
}
