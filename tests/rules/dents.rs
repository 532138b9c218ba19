//! Steps 1 and 2: dents by the grid, oversize dents by the ladder.

use crate::builder::OneCar;

const HEAD: &str = "stock,panel,dime,nickel,quarter,half-dollar,oversize\n";

/// The lines of one panel of the small card with two oversize steps.
#[track_caller]
fn hood(cells: &str, expected: &[&str]) {
    hood_on("predominant", cells, expected);
}

#[track_caller]
fn hood_on(mixed: &str, cells: &str, expected: &[&str]) {
    let lines = OneCar::new(&format!("{HEAD}A1,hood,{cells}\n"))
        .card_with("\"predominant\"", &format!("\"{mixed}\""))
        .card("[[oversize]]\nupto_mm = \"45\"\neach = \"38.00\"\n[[oversize]]\nupto_mm = \"70\"\neach = \"62.50\"\n")
        .price()
        .lines("A1");
    assert_eq!(lines, expected);
}

#[test]
fn all_dents_choose_the_band_and_the_most_frequent_class_the_column() {
    // 3 + 7 = 10: band 10-29 although no class has 10; mostly nickel: 21.00
    hood("3,7,0,0,", &["hood|dents|dents nickel|10|21.00"]);
    // 9 are still in 1-9
    hood("3,6,0,0,", &["hood|dents|dents nickel|9|11.00"]);
}

#[test]
fn a_tie_goes_to_the_larger_class() {
    hood("4,4,0,0,", &["hood|dents|dents nickel|8|11.00"]);
    hood("4,0,0,4,", &["hood|dents|dents half-dollar|8|13.00"]);
    // three-way: 3 dime, 3 quarter, 3 half-dollar
    hood("3,0,3,3,", &["hood|dents|dents half-dollar|9|13.00"]);
    // four-way; 12 dents: 23.00
    hood("3,3,3,3,", &["hood|dents|dents half-dollar|12|23.00"]);
}

#[test]
fn the_largest_class_may_choose_the_column() {
    // one half-dollar among 12 dents: 23.00
    hood_on(
        "largest",
        "9,2,0,1,",
        &["hood|dents|dents half-dollar|12|23.00"],
    );
}

#[test]
fn each_class_may_stand_by_itself_in_its_own_band() {
    // 10 dime: 20.00; 2 nickel: 11.00; smallest class first
    hood_on(
        "each",
        "10,2,0,0,",
        &[
            "hood|dents|dents dime|10|20.00",
            "hood|dents|dents nickel|2|11.00",
        ],
    );
}

#[test]
fn a_clean_panel_leaves_no_line() {
    hood("0,0,0,0,", &[]);
    hood(",,,,", &[]);
}

#[test]
fn oversize_dents_are_priced_one_by_one_and_are_not_in_the_count() {
    // 9 dimes stay in band 1-9; exactly 45 mm is the first step, 45.01 the
    // second; 2 x 38.00 and 1 x 62.50; 70.01 has no step
    hood(
        "9,0,0,0,40; 45; 45.01; 70.01",
        &[
            "hood|dents|dents dime|9|10.00",
            "hood|dents|oversize to 45 mm|2|76.00",
            "hood|dents|oversize to 70 mm|1|62.50",
            "hood|dents|oversize above 70 mm|1|",
        ],
    );
}

#[test]
fn without_steps_an_oversize_dent_is_by_quote() {
    let tables = OneCar::new(&format!("{HEAD}A1,hood,0,0,0,0,300\n")).price();
    assert_eq!(tables.lines("A1"), ["hood|dents|oversize|1|"]);
    assert_eq!(tables.car("A1", "status"), "quote");
    // The only line has no amount, so the cells are empty and not 0.00.
    for column in ["dents_amount", "total", "payer_pays", "owner_pays"] {
        assert_eq!(tables.car("A1", column), "", "{column}");
    }
    assert_eq!(tables.car("A1", "parts_amount"), "0.00");
}

#[test]
fn a_grid_in_hours_is_hours_times_the_rate_rounded_once() {
    // 0.333 h x 64.05 = 21.32865
    let storm = OneCar::new(&format!("{HEAD}A1,hood,3,0,0,0,\n"))
        .card_with("removal_rate", "hour_rate = \"64.05\"\nremoval_rate")
        .card_with("bands = ", "unit = \"hours\"\nbands = ")
        .card_with("dime = [\"10.00\"", "dime = [\"0.333\"");
    assert_eq!(storm.price().lines("A1"), ["hood|dents|dents dime|3|21.33"]);
}

#[test]
fn a_named_panel_has_its_own_grid_and_a_grid_without_names_serves_the_rest() {
    let grid = "[[grid]]\npanels = [\"roof\", \"rail-l\"]\nbands = [\"1+\"]\ndime = [\"50.00\"]\nnickel = [\"51.00\"]\nquarter = [\"52.00\"]\nhalf-dollar = [\"53.00\"]\n";
    // The first grid that names the roof serves it, not a later one.
    let later = grid.replace("50.00", "99.00");
    let lines = OneCar::new(&format!("{HEAD}A1,roof,3,0,0,0,\nA1,hood,3,0,0,0,\n"))
        .card(&format!("{grid}{later}"))
        .price()
        .lines("A1");
    assert_eq!(
        lines,
        [
            "hood|dents|dents dime|3|10.00",
            "roof|dents|dents dime|3|50.00"
        ]
    );
}

#[test]
fn a_panel_that_no_grid_serves_is_an_error_of_the_car() {
    let folder = OneCar::new(&format!("{HEAD}A1,hood,3,0,0,0,\nB2,roof,3,0,0,0,\n"))
        .card_with("[[grid]]", "[[grid]]\npanels = [\"hood\"]")
        .folder();
    let ran = crate::builder::hailyard(&["check", &folder.arg()]);
    assert!(
        ran.out.contains("row 3, panel: found `roof`"),
        "{}",
        ran.out
    );
    assert_eq!(ran.out.matches("error:").count(), 1);
}

#[test]
fn a_count_above_a_closed_last_band_refers_the_panel() {
    let card = |storm: OneCar| {
        storm
            .card_with("\"30+\"", "\"30-40\"")
            .card("[[conventional]]\npanels = [\"hood\"]\namount = \"915.00\"\n")
    };
    let tables = card(OneCar::new(&format!("{HEAD}A1,hood,41,0,0,0,50\n"))).price();
    assert_eq!(
        tables.lines("A1"),
        ["hood|conventional|conventional|1|915.00"]
    );
    assert_eq!(tables.car("A1", "referred"), "1");
    // 40 is still in the band.
    let tables = card(OneCar::new(&format!("{HEAD}A1,hood,40,0,0,0,\n"))).price();
    assert_eq!(tables.lines("A1"), ["hood|dents|dents dime|40|30.00"]);
}

/// A measured dent goes by its diameter wherever it stands: the edges are the
/// classes' own, the last one makes an oversize dent.
#[test]
fn measured_dents_fall_into_the_smallest_class_that_holds_them() {
    let sheet =
        "stock,panel,diameter_mm\nA1,hood,17.91\nB2,hood,17.92\nC3,hood,30.61\nD4,hood,30.62\n";
    let tables = OneCar::new(sheet).price();
    assert_eq!(tables.lines("A1"), ["hood|dents|dents dime|1|10.00"]);
    assert_eq!(tables.lines("B2"), ["hood|dents|dents nickel|1|11.00"]);
    assert_eq!(tables.lines("C3"), ["hood|dents|dents half-dollar|1|13.00"]);
    assert_eq!(tables.lines("D4"), ["hood|dents|oversize|1|"]);
    // One in the oversize column that fits a class is counted there.
    let tables = OneCar::new(&format!("{HEAD}A1,hood,9,0,0,0,15\n")).price();
    assert_eq!(tables.lines("A1"), ["hood|dents|dents dime|10|20.00"]);
}
