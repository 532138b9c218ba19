//! `hailyard staff` on storms whose crews can be told by hand. A day is 480
//! minutes; one dime takes a minute.

use crate::builder::hailyard;
use crate::planning::site::Site;
use hailyard::cli::Exit;
use serde_json::Value;

const NONE: &str = "[chance]\nstandard_error = \"0\"\n";
const COSTS: &str = "[staff]\nlodging_night = \"50.00\"\nper_diem = \"30.00\"\npay = { dents = \"20.00/h\", strip = \"100.00/day\" }\n";

/// Four panels of four hours for one person: two days; for two people one day.
fn site(more: &str) -> Site {
    let counts = "stock,panel,dime\nA1,hood,240\nA2,hood,240\nA3,hood,240\nA4,hood,240\n";
    Site::new(counts)
        .time("spread = \"0\"")
        .site(&format!("{NONE}{more}"))
        .crew("name,trades,speed,pay,guarantee\nAda,dents,1,20.00/h,\nCy,strip,1,,90.00\n")
}

#[track_caller]
fn staff(site: &Site, more: &[&str]) -> Value {
    let folder = site.folder();
    let ran = hailyard(
        &[
            &["staff", &folder.arg(), "--json", "--replications", "20"],
            more,
        ]
        .concat(),
    );
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("JSON")
}

fn size(crew: &Value) -> [u64; 3] {
    ["dents", "strip", "finish"].map(|trade| crew[trade].as_u64().expect("people"))
}

#[test]
fn days_and_costs_are_those_worked_by_hand() {
    let crews = staff(&site(COSTS), &[]);
    let now = &crews["now"];
    assert_eq!((size(now), &now["days"]), ([1, 1, 0], &Value::from(2)));
    // Ada: two days' stay at 80, 16 hours at 20: 480. Cy: two days' stay, and
    // nothing but the guarantee of 90 a day: 160 + 180 = 340.
    approx::assert_abs_diff_eq!(now["cost"].as_f64().expect("a cost"), 820.0, epsilon = 1e-6);
    let two = &crews["by_trade"]["dents"][1];
    assert_eq!((size(two), &two["days"]), ([2, 1, 0], &Value::from(1)));
    // Both one day: 2 × 80 and 16 hours at 20; Cy 80 + 90.
    approx::assert_abs_diff_eq!(two["cost"].as_f64().expect("a cost"), 650.0, epsilon = 1e-6);
    // One more for strip has a day's pay and nothing to do: two days of 80 + 100.
    let strip = &crews["by_trade"]["strip"][1];
    assert_eq!((size(strip), &strip["days"]), ([1, 2, 0], &Value::from(2)));
    approx::assert_abs_diff_eq!(
        strip["cost"].as_f64().expect("a cost"),
        1180.0,
        epsilon = 1e-6
    );
    assert_eq!(crews["holds_up"], "dents");
    assert_eq!(crews["by"], Value::Null);
}

/// By Monday one person more is needed. Three people for dents are no faster:
/// four panels of four hours, two each, are a day for two.
#[test]
fn the_cheapest_crew_that_meets_a_date_is_found() {
    let crews = staff(&site(COSTS), &["--by", "2026-06-15"]);
    assert_eq!(crews["now"]["odds"].as_f64(), Some(0.0));
    let cheapest = &crews["cheapest"];
    assert_eq!(size(cheapest), [2, 1, 0]);
    assert_eq!(cheapest["odds"].as_f64(), Some(1.0));
    // By Tuesday the crew as it is would do, and two for dents are cheaper.
    let crews = staff(&site(COSTS), &["--by", "2026-06-16"]);
    assert_eq!(size(&crews["cheapest"]), [2, 1, 0]);
    // Where nothing says what one more costs, the fewest people are sought.
    let crews = staff(&site(""), &["--by", "2026-06-16"]);
    assert_eq!(size(&crews["cheapest"]), [1, 1, 0]);
}

/// A panel of 600 minutes is one person's and takes two days, whoever comes.
#[test]
fn where_no_crew_meets_a_date_it_says_so_and_what_would() {
    let long = Site::new("stock,panel,dime\nA1,hood,600\nA2,hood,100\n")
        .time("spread = \"0\"")
        .site(&format!("bays = 1\n{NONE}{COSTS}"))
        .crew("name,trades\nAda,dents\n");
    let folder = long.folder();
    let ran = hailyard(&[
        "staff",
        &folder.arg(),
        "--by",
        "2026-06-15",
        "--replications",
        "5",
    ]);
    let said = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        said.contains(
            "No crew that was tried is done by Mon 2026-06-15 at 80 %. With 5 dents (4 more)"
        ),
        "{said}"
    );
    assert!(
        said.contains("done by Tue 2026-06-16 (day 2) at 80 %."),
        "{said}"
    );
    assert!(
        said.contains("without a limit of bays: done by Tue 2026-06-16"),
        "{said}"
    );
    let crews = staff(&long, &["--by", "2026-06-15"]);
    assert_eq!(crews["cheapest"], Value::Null);
    assert_eq!(crews["largest_tried"]["dents"], 5);
}

/// One person more is never later, under chance and with fewer bays than cars.
#[test]
fn one_more_is_never_later() {
    let counts = (0..14).fold("stock,panel,dime\n".to_owned(), |text, car| {
        format!(
            "{text}S{car},hood,{}\nS{car},roof,{}\n",
            40 + car * 7 % 60,
            90 - car * 5
        )
    });
    let site = Site::new(&counts)
        .site("bays = 3\n[chance]\nabsent_percent = \"10\"\ngrowth_percent = \"30\"\n")
        .crew("name,trades,speed\nAda,dents,1\nBo,dents,0.7\nCy,dents; finish,1.2\nDi,finish,1\n");
    let crews = staff(&site, &["--by", "2026-06-16", "--most", "9"]);
    for trade in ["dents", "finish"] {
        let list = crews["by_trade"][trade].as_array().expect("crews");
        assert!(list.len() > 5);
        for pair in list.windows(2) {
            let days = |crew: &Value| crew["days"].as_u64().unwrap_or(u64::MAX);
            let odds = |crew: &Value| crew["odds"].as_f64().expect("odds");
            assert!(days(&pair[1]) <= days(&pair[0]), "{trade}");
            assert!(odds(&pair[1]) >= odds(&pair[0]), "{trade}");
        }
    }
}

/// The crew as it is has the odds that `forecast` gives it: the same draws.
#[test]
fn crews_share_the_chance_of_the_forecast() {
    let site = Site::new("stock,panel,dime\nA1,hood,240\nA2,roof,260\nA3,hood,300\n")
        .site("[chance]\nabsent_percent = \"20\"\n")
        .crew("name,trades\nAda,dents\nBo,dents\n");
    let folder = site.folder();
    let args = ["forecast", &folder.arg(), "--json", "--replications", "20"];
    let odds: Value = serde_json::from_str(&hailyard(&args).out).expect("JSON");
    let crews = staff(&site, &[]);
    assert_eq!(crews["now"]["days"], odds["days"][1]["days"]);
}

/// Nobody takes off and puts back: `staff` adds one person who does, since whom to
/// bring is the question, and says so. 30 + 240 + 30 minutes, one car: one day.
#[test]
fn a_trade_that_nobody_has_is_brought() {
    let site = Site::new("stock,panel,dime,removals\nA1,hood,240,trim\n")
        .time("spread = \"0\"")
        .site(NONE)
        .crew("name,trades\nAda,dents\n");
    let crews = staff(&site, &[]);
    assert_eq!(crews["lacking"], serde_json::json!(["strip"]));
    assert_eq!(
        (size(&crews["now"]), &crews["now"]["days"]),
        ([1, 1, 0], &Value::from(1))
    );
    let said = hailyard(&["staff", &site.folder().arg(), "--replications", "3"]).out;
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        said.contains("Nobody in the crew list does strip: one person for each is taken to come."),
        "{said}"
    );
}

/// A day before the first one planned can't be met by anybody.
#[test]
fn a_date_in_the_past_is_wrong_usage() {
    let folder = site("").folder();
    let ran = hailyard(&["staff", &folder.arg(), "--by", "2026-06-14"]);
    assert_eq!(ran.exit, Exit::Usage);
    assert!(
        ran.err
            .contains("before 2026-06-15, the first day that is planned"),
        "{}",
        ran.err
    );
}

/// What is wrong in lot.* stops the odds, which would else pass over how many
/// cars there are.
#[test]
fn a_faulty_lot_file_stops_odds_and_crews() {
    for command in ["forecast", "staff"] {
        let folder = site("").folder().file("lot.csv", "stratum,cars\nall,2\n");
        let ran = hailyard(&[command, &folder.arg()]);
        assert_eq!(ran.exit, Exit::Problems, "{command}");
        assert!(ran.err.contains("lot.csv, row 2"), "{}", ran.err);
    }
}
