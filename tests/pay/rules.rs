//! The split's rules one by one, each worked by hand in its comment. The cards
//! price a panel by a single figure, so that pools are round.

use crate::builder::{Folder, OneCar};
use hailyard::intake::{Disk, Severity, read_storm};
use hailyard::pay::{SplitInput, split_storm};
use hailyard::pricing::price_storm;
use hailyard::report::{pay_grid, statement_grid, to_csv};
use std::collections::BTreeMap;

/// A storm with a crew: car A has a hood of 100.00 and a roof of 60.00.
pub struct Crewed {
    car: OneCar,
    shares: &'static str,
    crew: String,
    work: String,
    paid: String,
}

/// What came of it, as text.
pub struct Split {
    /// `stock|panel|receiver|kind|amount`.
    pub rows: Vec<String>,
    /// By person: `date|kind|stock|panel|part|amount`.
    pub lines: BTreeMap<String, Vec<String>>,
    /// By person and period.
    pub balances: BTreeMap<(String, String), String>,
    /// All that was found, errors and cautions.
    pub found: Vec<String>,
}

/// One size, so that 3 dents are 60.00 and 10 are 100.00.
pub fn crewed(work: &str) -> Crewed {
    let car = OneCar::new("stock,panel,dime\nA,hood,10\nA,roof,3\n").card_with(
        r#"dime = ["10.00", "20.00", "30.00"]"#,
        r#"dime = ["60.00", "100.00", "30.00"]"#,
    );
    Crewed {
        car,
        shares: "",
        crew: "name,pay\nAda,50%\nBen,40%\nCyd,30%\n".to_owned(),
        work: format!("date,stock,panel,person,trade,hours,part,redo,done\n{work}"),
        paid: String::new(),
    }
}

impl Crewed {
    pub fn car(mut self, change: impl FnOnce(OneCar) -> OneCar) -> Crewed {
        self.car = change(self.car);
        self
    }

    /// `[[share]]` and `[pay]`.
    pub fn terms(mut self, terms: &'static str) -> Crewed {
        self.shares = terms;
        self
    }

    pub fn crew(mut self, crew: &str) -> Crewed {
        self.crew = crew.to_owned();
        self
    }

    pub fn paid(mut self, paid: &str) -> Crewed {
        self.paid = format!("date,person,kind,amount,note\n{paid}");
        self
    }

    pub fn folder(self) -> Folder {
        let mut folder = self.car.terms(self.shares).folder();
        folder = folder
            .file("crew.csv", self.crew)
            .file("work.csv", self.work);
        if !self.paid.is_empty() {
            folder = folder.file("paid.csv", self.paid);
        }
        folder
    }

    #[track_caller]
    pub fn split(self) -> Split {
        split(&self.folder())
    }
}

/// Reads, prices and splits a folder.
#[track_caller]
pub fn split(folder: &Folder) -> Split {
    let intake = read_storm(&Disk::new(folder.path()), None);
    assert_eq!(
        intake.problems.errors(),
        0,
        "{:?}",
        intake.problems.sorted()
    );
    let mut found: Vec<String> = intake
        .crew_problems
        .sorted()
        .iter()
        .map(ToString::to_string)
        .collect();
    let (storm, rates) = intake.storm.expect("a storm");
    let priced = price_storm(&storm, &rates);
    let input = SplitInput {
        storm: &storm,
        rates: &rates,
        priced: &priced,
        terms: &intake.pay,
        log: &intake.crew,
        came_in: &[],
    };
    let (split, findings) = split_storm(input).expect("a closed split");
    for finding in findings {
        assert!(matches!(
            finding.severity,
            Severity::Error | Severity::Caution
        ));
        found.push(finding.problem(&intake.sheets).to_string());
    }
    let text = |bytes: Vec<u8>| -> Vec<Vec<String>> {
        csv::Reader::from_reader(bytes.as_slice())
            .records()
            .map(|row| row.expect("a row").iter().map(str::to_owned).collect())
            .collect()
    };
    let rows = text(to_csv(&pay_grid(&input, &split), storm.currency));
    let (mut lines, mut balances) = (BTreeMap::new(), BTreeMap::new());
    for statement in &split.statements {
        let name = intake.crew.people[statement.person].name.clone();
        let grid = statement_grid(statement, &intake.crew.people, storm.currency);
        let mut own = Vec::new();
        for row in text(to_csv(&grid, storm.currency)) {
            match row[3].as_str() {
                "carried" => {}
                "balance" => {
                    balances.insert((name.clone(), row[1].clone()), row[11].clone());
                }
                _ => own.push([2, 3, 4, 5, 9, 11].map(|at| row[at].clone()).join("|")),
            }
        }
        lines.insert(name, own);
    }
    Split {
        rows: rows.iter().map(|row| row.join("|")).collect(),
        lines,
        balances,
        found,
    }
}

impl Split {
    #[track_caller]
    fn balance(&self, person: &str, period: &str) -> &str {
        &self.balances[&(person.to_owned(), period.to_owned())]
    }
}

#[test]
fn the_pool_is_split_after_the_shares() {
    // 10 % of 160.00 is 16.00; 144.00 by 100 : 60 is 90.00 and 54.00; half of
    // each is Ada's. Split before, she would have 50.00 and 30.00.
    let split = crewed("2026-06-15,A,,Ada,,,,,\n")
        .terms("[[share]]\nto = \"lot\"\nof = \"dents\"\npercent = \"10\"")
        .split();
    assert_eq!(
        split.rows,
        [
            "A||lot|share|16.00",
            "A|hood|Ada|person|45.00",
            "A|hood|house|house|45.00",
            "A|roof|Ada|person|27.00",
            "A|roof|house|house|27.00",
        ]
    );
}

#[test]
fn dents_left_sees_what_total_took() {
    // total: 25 % of 160.00 is 40.00; left are 120.00, 10 % of them 12.00.
    let split = crewed("")
        .terms(
            "[[share]]\nto = \"lot\"\nof = \"total\"\npercent = \"25\"\n[[share]]\nto = \"finder\"\nof = \"dents_left\"\npercent = \"10\"",
        )
        .split();
    assert_eq!(
        split.rows[..2],
        ["A||lot|share|40.00", "A||finder|share|12.00"]
    );
}

#[test]
fn two_halves_of_a_cent_are_a_cent_and_nothing() {
    // 50 % of 0.01 is 0.005, rounded 0.01; then nothing is left. One unit
    // short is no caution.
    let split = crewed("")
        .car(|car| {
            OneCar::new("stock,panel,dime\nA,hood,1\n")
                .card_with("dime = [\"10.00\"", "dime = [\"0.01\"")
                .terms(&car.terms)
        })
        .terms(
            "[[share]]\nto = \"lot\"\nof = \"dents\"\npercent = \"50\"\n[[share]]\nto = \"finder\"\nof = \"dents\"\npercent = \"50\"",
        )
        .split();
    assert_eq!(split.rows, ["A||lot|share|0.01"]);
}

#[test]
fn three_thirds_are_the_whole_and_three_times_33_3_percent_are_not() {
    let rows = |part: &str| {
        ["Ada", "Ben", "Cyd"]
            .map(|name| format!("2026-06-15,A,hood,{name},,,{part},,\n"))
            .concat()
    };
    // 33.3 % of 100.00 is 33.30 each, 0.10 is left open; pay 50, 40, 30 %.
    let split = crewed(&rows("33.3%")).split();
    assert_eq!(
        split.rows[..5],
        [
            "A|hood|Ada|person|16.65",
            "A|hood|Ben|person|13.32",
            "A|hood|Cyd|person|9.99",
            "A|hood|house|house|59.94",
            "A|hood||unearned|0.10",
        ]
    );
    let said = split.found.iter().any(|said| said.contains("such as 1/3"));
    assert!(said, "{:?}", split.found);
    // Three thirds of 100.00: 33.34, 33.33, 33.33, the odd cent to the first.
    let split = crewed(&rows("1/3")).split();
    assert_eq!(
        split.rows[..4],
        [
            "A|hood|Ada|person|16.67",
            "A|hood|Ben|person|13.33",
            "A|hood|Cyd|person|10.00",
            "A|hood|house|house|60.00",
        ]
    );
    assert!(!split.found.iter().any(|said| said.contains("1/3")));
}

#[test]
fn a_whole_car_row_stands_behind_the_rows_that_name_a_panel() {
    // Ada has the hood wholly; of the roof Ben has half by his part, Cyd the
    // rest: 30.00 each, 40 % and 30 %.
    let split = crewed(
        "2026-06-15,A,hood,Ada,,,,,\n2026-06-15,A,roof,Ben,,,50%,,\n2026-06-15,A,,Cyd,,,,,\n",
    )
    .split();
    assert_eq!(
        split.rows,
        [
            "A|hood|Ada|person|50.00",
            "A|hood|house|house|50.00",
            "A|roof|Ben|person|12.00",
            "A|roof|Cyd|person|9.00",
            "A|roof|house|house|39.00",
        ]
    );
}

#[test]
fn after_two_redos_of_a_half_three_people_hold_a_quarter_a_quarter_and_a_half() {
    // Parts of the hood's 100.00: Ada 100; then 50, Ben 50; then 25, 25, Cyd 50.
    // 50, 40 and 30 % of them: 12.50, 10.00, 15.00.
    let split = crewed(
        "2026-06-15,A,hood,Ada,,,,,\n2026-06-16,A,hood,Ben,,,1/2,yes,\n2026-06-17,A,hood,Cyd,,,50%,yes,\n",
    )
    .split();
    assert_eq!(
        split.rows[..4],
        [
            "A|hood|Ada|person|12.50",
            "A|hood|Ben|person|10.00",
            "A|hood|Cyd|person|15.00",
            "A|hood|house|house|62.50",
        ]
    );
    assert_eq!(
        split.lines["Ada"],
        [
            "2026-06-15|work|A|hood|100.00|50.00",
            "2026-06-16|redo-charge|A|hood|-50.00|-25.00",
            "2026-06-17|redo-charge|A|hood|-25.00|-12.50",
        ]
    );
}

#[test]
fn a_redo_that_the_house_pays_leaves_the_first_people_all() {
    let work = "2026-06-15,A,hood,Ada,,,,,\n2026-06-16,A,hood,Ben,,,1/4,yes,\n2026-06-17,A,hood,Ada,,,1/4,yes,\n";
    // Ada keeps 50.00; Ben has 40 % of a quarter of 100.00; Ada gains nothing
    // by her own work. House: 100 - 50 - 10.
    let split = crewed(work).terms("[pay]\nredo = \"house\"").split();
    assert_eq!(
        split.rows[..3],
        [
            "A|hood|Ada|person|50.00",
            "A|hood|Ben|person|10.00",
            "A|hood|house|house|40.00"
        ]
    );
    // Charged: Ben holds a quarter, of which Ada takes a quarter back: Ada
    // 75 + 6.25 = 81.25, Ben 18.75; 50 % is 40.63 (40.625), 40 % is 7.50.
    let split = crewed(work).split();
    assert_eq!(
        split.rows[..3],
        [
            "A|hood|Ada|person|40.63",
            "A|hood|Ben|person|7.50",
            "A|hood|house|house|51.87"
        ]
    );
}

#[test]
fn a_charge_lowers_neither_a_guarantee_nor_a_week_that_was_paid() {
    // First week: Ada earns 50.00 of the hood, guaranteed 70.00, paid 70.00.
    // Second: the redo takes 25.00 off her percentage; she earns 30.00 of the
    // roof on one day, so 40.00 are lacking to 70.00, as if there were no charge.
    let split = crewed(
        "2026-06-15,A,hood,Ada,,,,,\n2026-06-22,A,hood,Ben,,,1/2,yes,\n2026-06-23,A,roof,Ada,,,,,\n",
    )
    .crew("name,pay,guarantee\nAda,50%,70.00\nBen,40%,\n")
    .paid("2026-06-20,Ada,payment,70.00,\n")
    .split();
    assert_eq!(
        split.lines["Ada"],
        [
            "2026-06-15|work|A|hood|100.00|50.00",
            "2026-06-15|guarantee||||20.00",
            "2026-06-20|payment||||-70.00",
            "2026-06-23|work|A|roof|60.00|30.00",
            "2026-06-22|redo-charge|A|hood|-50.00|-25.00",
            "2026-06-23|guarantee||||40.00",
        ]
    );
    assert_eq!(split.balance("Ada", "2026-06-15"), "0.00");
    // 30 - 25 + 40
    assert_eq!(split.balance("Ada", "2026-06-22"), "45.00");
}

#[test]
fn a_minimum_without_a_priced_panel_is_the_houses() {
    // Removal alone, 1.5 h at 58.00 = 87.00, raised to 120.00: the 33.00 are
    // dents without a panel. Ben has 40 % of 87.00 = 34.80.
    let split = crewed("2026-06-15,A,,Ben,strip,,,,\n")
        .car(|_| {
            OneCar::new("stock,panel,dime,remove\nA,hood,0,liner\n")
                .card("[[removal]]\ncode = \"liner\"\nhours = \"1.5\"\nonce_per = \"vehicle\"\n")
                .terms("minimum = \"120.00\"")
        })
        .split();
    assert_eq!(split.rows, ["A||Ben|person|34.80", "A||house|house|85.20"]);
}

#[test]
fn one_cent_among_seven_people_is_the_firsts() {
    let names = ["A1", "B2", "C3", "D4", "E5", "F6", "G7"];
    let work = names
        .map(|name| format!("2026-06-15,A,hood,{name},,,,,\n"))
        .concat();
    let crew = names.map(|name| format!("{name},100%\n")).concat();
    let split = crewed(&work)
        .car(|_| {
            OneCar::new("stock,panel,dime\nA,hood,1\n")
                .card_with("dime = [\"10.00\"", "dime = [\"0.01\"")
        })
        .crew(&format!("name,pay\n{crew}"))
        .split();
    assert_eq!(split.rows, ["A|hood|A1|person|0.01"]);
}

#[test]
fn yen_have_no_decimals_and_dinars_three() {
    let of = |currency, cell: &str| {
        let car = OneCar::new("stock,panel,dime\nA,hood,1\n")
            .card_with("dime = [\"10.00\"", &format!("dime = [\"{cell}\""))
            .currency(currency);
        crewed("2026-06-15,A,hood,Ada,,2,,,\n2026-06-15,A,hood,Ben,,1,,,\n")
            .car(|_| car)
            .crew(
                "name,pay\nAda,50%\nBen,1/3\n"
                    .replace("1/3", "40%")
                    .as_str(),
            )
            .split()
            .rows
    };
    // 1,000 by 2 : 1 is 667 and 333; 50 % is 333.5 -> 334, 40 % is 133.2 -> 133.
    assert_eq!(
        of("JPY", "1000"),
        [
            "A|hood|Ada|person|334",
            "A|hood|Ben|person|133",
            "A|hood|house|house|533"
        ]
    );
    // 1.000 likewise in thousandths: 0.667 and 0.333; 0.334 (0.3335), 0.133.
    assert_eq!(
        of("KWD", "1.000"),
        [
            "A|hood|Ada|person|0.334",
            "A|hood|Ben|person|0.133",
            "A|hood|house|house|0.533"
        ]
    );
}

#[test]
fn work_that_is_not_finished_earns_nothing_yet() {
    // The last row of the hood says that it is not done.
    let begun = "2026-06-15,A,hood,Ada,,,,,\n2026-06-17,A,hood,Ada,,,,,no\n";
    let split = crewed(begun).split();
    assert_eq!(
        split.rows,
        ["A|hood||unearned|100.00", "A|roof||unearned|60.00"]
    );
    // Done later, though the row stands higher in the log: earned on its day.
    let split = crewed(&format!("2026-06-22,A,hood,Ada,,,,,\n{begun}")).split();
    assert_eq!(split.lines["Ada"], ["2026-06-22|work|A|hood|100.00|50.00"]);
    // On the same day the lower row decides.
    let split = crewed("2026-06-17,A,hood,Ada,,,,,no\n2026-06-17,A,hood,Ada,,,,,yes\n").split();
    assert_eq!(split.lines["Ada"], ["2026-06-17|work|A|hood|100.00|50.00"]);
}

#[test]
fn who_is_paid_by_time_is_paid_by_the_house() {
    // 3 h at 12.345: 37.035 -> 37.04; a car 20.00; two days 15.00 each; the
    // hood's part of Ada is the house's: 100 - 37.04. The car and the second
    // row's hours, 1 h = 12.35 (12.345), belong to no panel.
    let split = crewed("2026-06-15,A,hood,Ada,,3,,,\n2026-06-16,A,,Ada,finish,1,,,\n")
        .crew("name,pay\nAda,12.345/h + 20.00/car + 15.00/day\n")
        .split();
    assert_eq!(
        split.rows,
        [
            "A|hood|Ada|person|37.04",
            "A|hood|house|house|62.96",
            "A|roof||unearned|60.00",
            "A||Ada|person|32.35",
            "A||house|house|-32.35",
            "||Ada|person|30.00",
            "||house|house|-30.00",
        ]
    );
}

/// 29 CFR 778.111(a), as it stands: $491.00 of piece pay for 46 hours and 4
/// hours of waiting at $8.00 are $523.00 for 50 hours; a regular rate of
/// $10.46; half of it for each of 10 hours is $52.30; together $575.30.
/// The text of 1981: $245.50 and 4 hours at $5.00 are $265.50; $5.31; with
/// 10 half rates $292.05. A bonus stands for the hours of waiting.
#[test]
fn the_half_time_premium_of_the_published_examples() {
    for (piece, waiting, premium, total) in [
        ("491.00", "32.00", "52.30", "575.30"),
        ("245.50", "20.00", "26.55", "292.05"),
    ] {
        let days: String = ["15", "16", "17", "18"]
            .map(|day| format!("2026-06-{day},A,hood,Ada,,11.5,,,\n"))
            .concat();
        let split = crewed(&format!("{days}2026-06-19,,,Ada,other,4,,,\n"))
            .car(|_| {
                OneCar::new("stock,panel,dime\nA,hood,1\n")
                    .card_with("dime = [\"10.00\"", &format!("dime = [\"{piece}\""))
            })
            .terms("[pay]\novertime = \"us-piece-rate\"")
            .crew("name,pay,employee\nAda,100%,yes\n")
            .paid(&format!("2026-06-19,Ada,bonus,{waiting},waiting\n"))
            .split();
        assert_eq!(
            split.lines["Ada"][1],
            format!("2026-06-19|overtime||||{premium}")
        );
        assert_eq!(split.balance("Ada", "2026-06-15"), total);
    }
}

#[test]
fn forty_hours_and_who_is_no_employee_have_no_premium() {
    let days: String = ["15", "16", "17", "18", "19"]
        .map(|day| format!("2026-06-{day},A,hood,Ada,,8,,,\n2026-06-{day},A,roof,Ben,,9,,,\n"))
        .concat();
    let split = crewed(&days)
        .terms("[pay]\novertime = \"us-piece-rate\"")
        .crew("name,pay,employee\nAda,50%,yes\nBen,40%,\n")
        .split();
    assert_eq!(split.lines["Ada"], ["2026-06-19|work|A|hood|100.00|50.00"]);
    assert_eq!(split.lines["Ben"], ["2026-06-19|work|A|roof|60.00|24.00"]);
}

#[test]
fn a_supplement_after_a_paid_week_shows_as_what_is_carried() {
    let work = "2026-06-15,A,hood,Ada,,,,,\n2026-06-22,A,roof,Ada,,,,,\n";
    let paid = "2026-06-20,Ada,payment,50.00,\n";
    let before = crewed(work).paid(paid).split();
    assert_eq!(before.balance("Ada", "2026-06-15"), "0.00");
    assert_eq!(before.balance("Ada", "2026-06-22"), "30.00");
    // The hood is agreed 40.00 higher: 50 % of 140.00 is 70.00, of which 50.00
    // were paid; 20.00 are carried into the second week.
    let after = crewed(work)
        .car(|car| car.agreed("stock,panel,group,item,amount,by,date,note\nA,hood,dents,supplement,40.00,Pell,2026-06-21,\n"))
        .paid(paid)
        .split();
    assert_eq!(after.balance("Ada", "2026-06-15"), "20.00");
    assert_eq!(after.balance("Ada", "2026-06-22"), "50.00");
}

#[test]
fn adjustments_are_the_houses_and_payments_are_nobodys() {
    // + 10 + 61 - 25, then - 100 + 5 that settle.
    let split = crewed("")
        .paid(
            "2026-06-15,Ada,per-diem,10.00,\n2026-06-15,Ada,lodging,61.00,\n2026-06-15,Ada,charge-back,25.00,a door\n2026-06-16,Ada,advance,100.00,\n2026-06-17,Ada,refund,5.00,\n",
        )
        .split();
    assert_eq!(
        split.rows[2..],
        ["||Ada|person|46.00", "||house|house|-46.00"]
    );
    assert_eq!(split.balance("Ada", "2026-06-15"), "-49.00");
}

#[test]
fn a_whole_car_row_that_gets_nothing_decides_nothing() {
    // Ada finished both panels in the first week; what Ben writes a week later,
    // begun or finished, takes nothing of them and moves no date.
    let ada = "2026-06-15,A,hood,Ada,,,,,\n2026-06-15,A,roof,Ada,,,,,\n";
    for done in ["", "no"] {
        let split = crewed(&format!("{ada}2026-06-22,A,,Ben,,,,,{done}\n")).split();
        assert_eq!(
            split.lines["Ada"],
            [
                "2026-06-15|work|A|hood|100.00|50.00",
                "2026-06-15|work|A|roof|60.00|30.00",
            ]
        );
        assert_eq!(split.lines["Ben"], Vec::<String>::new());
        let said = split
            .found
            .iter()
            .any(|said| said.contains("others have all of them"));
        assert!(said, "{:?}", split.found);
    }
}

#[test]
fn who_holds_nothing_of_a_panel_is_paid_for_doing_it_again() {
    // Ben is named on the hood and has nothing of it; half of Ada's 100.00 done
    // again is 50.00, 40 % of it 20.00, out of the house's.
    let split = crewed(
        "2026-06-15,A,hood,Ada,,,100%,,\n2026-06-15,A,hood,Ben,,,0%,,\n2026-06-16,A,hood,Ben,,,1/2,yes,\n",
    )
    .terms("[pay]\nredo = \"house\"")
    .split();
    assert_eq!(split.lines["Ben"][1], "2026-06-16|redo|A|hood|50.00|20.00");
}

#[test]
fn one_fault_is_said_once() {
    // Hours on one whole-car row and none on the other come to two panels, and
    // a redo of them: one cell is at fault.
    let split =
        crewed("2026-06-15,A,,Ada,,2,,,\n2026-06-15,A,,Ben,,,,,\n2026-06-16,A,,Cyd,,1,1/2,yes,\n")
            .split();
    let [said] = &split.found[..] else {
        panic!("{:?}", split.found);
    };
    assert!(
        said.starts_with("error: work.csv, row 3, hours: nothing found"),
        "{said}"
    );
}

#[test]
fn rows_of_one_car_are_bounded() {
    // Parts are exact, and those of many redos would grow for minutes.
    let first = "2026-06-15,A,,Ada,,,,,\n";
    let again = |rows: usize| -> String {
        let row = |at| {
            format!(
                "2026-06-16,A,,Ben,,,{}/234567891.37,yes,\n",
                12_345_678 + at
            )
        };
        first.to_owned() + &(0..rows).map(row).collect::<String>()
    };
    assert_eq!(crewed(&again(40)).split().found, Vec::<String>::new());
    let found = crewed(&again(41)).split().found;
    assert!(
        found[0].contains("at most 40 rows of work done again on one car"),
        "{found:?}"
    );
}

#[test]
fn decimal_commas_of_a_file_are_those_of_pay_and_parts_too() {
    let mut storm =
        crewed("2026-06-15,A,hood,Ada,,,33.5%,,\n").crew("name,pay\nAda,45.5% + 6.50/h\n");
    storm.work = "date;stock;panel;person;hours;part\n2026-06-15;A;hood;Ada;2,5;33,5%\n".to_owned();
    storm.crew = "name;pay;guarantee\nAda;45,5% + 6,50/h;1,00\n".to_owned();
    let split = storm.split();
    // 45.5 % of 33.50 is 15.2425; 2.5 h at 6.50
    assert_eq!(
        split.lines["Ada"],
        [
            "2026-06-15|work|A|hood|33.50|15.24",
            "2026-06-15|hours|A|hood||16.25"
        ]
    );
}
