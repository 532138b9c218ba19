//! `hailyard lot --table`: the estimator on a table of counted things.

use crate::builder::{Folder, hailyard, hailyard_wide};
use approx::assert_abs_diff_eq;
use hailyard::cli::Exit;
use serde_json::Value;

/// The worked lot of `super::lot`, as a lead's own sheet: a title above, the
/// strata in any order and case, a column that is not asked for.
const COUNTED: &str = "\
Counted on Monday
car,body,price,worth
1,Sedan,1840,14000
2,suv,3120,27000
3,pickup,2210,21000
4,sedan,2210,18500
5,sedan,1395,9000
6,SUV,2475,19500
7,sedan,2650,22000
8,suv,3890,34000
9,suv,2760,24000
10,sedan,1980,16500
11,pickup,3480,38000
12,sedan,1725,13000
13,suv,3345,29500
14,suv,2990,23000
15,suv,4105,36000
16,pickup,2895,30500
";
const SIZES: &str = "stratum,cars\nsedan,120\nsuv,140\npickup,40\n";

fn estimated(files: &[(&str, &str)], more: &[&str]) -> Value {
    let (out, exit) = ran(files, &[more, &["--json"]].concat());
    assert_eq!(exit, Exit::Done, "{out}");
    serde_json::from_str(&out).expect("JSON")
}

fn ran(files: &[(&str, &str)], more: &[&str]) -> (String, Exit) {
    ran_wide(200, files, more)
}

fn ran_wide(width: usize, files: &[(&str, &str)], more: &[&str]) -> (String, Exit) {
    let mut folder = Folder::new();
    for (path, text) in files {
        folder = folder.file(path, text);
    }
    let at = |name: &str| folder.path().join(name).to_string_lossy().into_owned();
    let mut args = vec!["lot".to_owned(), "--table".to_owned(), at("counted.csv")];
    for word in more {
        args.push(if word.ends_with(".csv") {
            at(word)
        } else {
            (*word).to_owned()
        });
    }
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    let ran = hailyard_wide(width, &args);
    let folder = folder.arg();
    (
        (ran.out + &ran.err).replace(&format!("{folder}/"), ""),
        ran.exit,
    )
}

#[track_caller]
fn holds(found: &Value, figures: [f64; 5]) {
    for (key, figure) in ["total", "se", "df", "low", "high"]
        .into_iter()
        .zip(figures)
    {
        // The other program's figures are printed to four places.
        assert_abs_diff_eq!(found[key].as_f64().expect(key), figure, epsilon = 6e-5);
    }
}

const STRATA: [&str; 6] = [
    "--value",
    "price",
    "--stratum",
    "body",
    "--sizes",
    "sizes.csv",
];

/// R `survey` 4.1 on the same lot.
#[test]
fn the_worked_lot_comes_out_of_a_sheet() {
    let files = [("counted.csv", COUNTED), ("sizes.csv", SIZES)];
    let found = estimated(&files, &STRATA);
    holds(
        &found,
        [
            804_166.666_7,
            39_267.125_1,
            13.0,
            719_335.200_4,
            888_998.132_9,
        ],
    );
    assert_eq!(found["strata"][1]["stratum"], "suv");
    assert_eq!(found["strata"][1]["counted"], 7);
    assert_eq!(found["strata"][1]["total"], 453_700.0);
    assert_abs_diff_eq!(
        found["satterthwaite_df"].as_f64().expect("one"),
        12.093_493,
        epsilon = 6e-7
    );
    // ± 5 %: 11, 20 and 6 more, as the design's table has it.
    let more = |at: usize| found["more"]["by_stratum"][at]["more"].clone();
    assert_eq!([more(0), more(1), more(2)], [11, 20, 6]);
    // A semicolon file with decimal commas is the same sample.
    let semicolons = COUNTED.replace(',', ";").replace(";14000", ",0;14000");
    let again = estimated(
        &[("counted.csv", &semicolons), ("sizes.csv", SIZES)],
        &STRATA,
    );
    assert_eq!(again, found);
}

/// The combined ratio by the same program; the plain total stands beside it.
#[test]
fn the_ratio_is_on_top_where_it_is_asked_for() {
    let files = [("counted.csv", COUNTED), ("sizes.csv", SIZES)];
    let ratio = ["--ratio", "worth", "--known", "6600000"];
    let found = estimated(&files, &[&STRATA[..], &ratio].concat());
    let by_helper = [
        767_719.382_8,
        12_098.984_6,
        13.0,
        741_581.115_8,
        793_857.649_9,
    ];
    holds(&found, by_helper);
    holds(&found["ratio"], by_helper);
    holds(
        &found["plain"],
        [
            804_166.666_7,
            39_267.125_1,
            13.0,
            719_335.200_4,
            888_998.132_9,
        ],
    );
    let (text, _) = ran(&files, &[&STRATA[..], &ratio].concat());
    assert!(text.contains("its error is the smaller one"), "{text}");
}

/// Freese, Elementary Forest Sampling (USDA Handbook 232): 20 of 100 plots, sum
/// 214, s² 13.4842: 1,070 ± 100 √(0.8 × 13.4842 / 20) = 73.44.
#[test]
fn a_simple_sample_needs_only_how_many_there_are() {
    let plots = [
        10, 9, 10, 9, 11, 16, 11, 7, 12, 12, 11, 3, 5, 11, 14, 8, 13, 12, 20, 10,
    ];
    let text = plots
        .iter()
        .fold("cords\n".to_owned(), |text, plot| format!("{text}{plot}\n"));
    let found = estimated(
        &[("counted.csv", &text)],
        &["--value", "Cords", "--cars", "100"],
    );
    assert_eq!(found["total"], 1_070.0);
    let squares: f64 = plots
        .iter()
        .map(|plot| (f64::from(*plot) - 10.7).powi(2))
        .sum();
    let error = 100.0 * (0.8 * squares / 19.0 / 20.0).sqrt();
    assert_abs_diff_eq!(found["se"].as_f64().expect("one"), error, epsilon = 1e-9);
    assert_eq!(found["df"], 19.0);
}

#[test]
fn a_stratum_without_a_counted_one_is_never_in_a_total() {
    let sizes = format!("{SIZES}van,9\n");
    let files = [("counted.csv", COUNTED), ("sizes.csv", sizes.as_str())];
    let found = estimated(&files, &STRATA);
    holds(
        &found,
        [
            804_166.666_7,
            39_267.125_1,
            13.0,
            719_335.200_4,
            888_998.132_9,
        ],
    );
    assert_eq!(found["not_counted"], serde_json::json!(["van"]));
    assert_eq!(found["strata"][3]["total"], Value::Null);
    let (text, _) = ran(&files, &STRATA);
    assert!(text.contains("without 9 of van"), "{text}");
}

#[test]
fn what_is_wrong_is_said_all_at_once_with_its_place() {
    let counted = "body,price\nsedan,\"1,840\"\nsedan,\nlorry,2000\nsuv,inf\nsuv,12\n";
    let sizes = "stratum,cars\nsedan,120\nsuv,1.5\nSedan,4\n";
    let (said, exit) = ran(&[("counted.csv", counted), ("sizes.csv", sizes)], &STRATA);
    assert_eq!(exit, Exit::Problems);
    for line in [
        "error: sizes.csv, row 3, cars: found `1.5`; expected a whole number up to 10,000,000",
        "error: sizes.csv, row 4, stratum: found `Sedan`; expected a stratum once; it stands in row 2 too",
        "error: counted.csv, row 2, price: found `1,840`; expected a figure; leave out rows that were not counted; probably 1840",
        "error: counted.csv, row 3, price: nothing found; expected a figure; leave out rows that were not counted",
        "error: counted.csv, row 4, body: found `lorry`; expected a stratum of sizes.csv",
        "error: counted.csv, row 5, price: found `inf`; expected a figure; leave out rows that were not counted",
    ] {
        assert!(said.contains(line), "{line}\nnot in\n{said}");
    }
    let few = [("counted.csv", "price\n1\n2\n3\n")];
    let (said, exit) = ran(&few, &["--value", "price", "--cars", "2"]);
    assert_eq!(exit, Exit::Problems);
    assert!(said.contains("2 in all, 3 counted"), "{said}");
    let (said, _) = ran(&few, &["--value", "worth", "--cars", "9"]);
    assert!(
        said.contains("found `price`; expected a header with worth"),
        "{said}"
    );
}

/// The page shows what comes out of the worked lot.
#[test]
fn the_readme_shows_the_worked_lot() {
    let files = [("counted.csv", COUNTED), ("sizes.csv", SIZES)];
    let (out, _) = ran_wide(100, &files, &STRATA);
    let readme = include_str!("../../README.md");
    assert!(
        readme.contains(&format!("--sizes lot.csv\n{out}```")),
        "{out}"
    );
}

#[test]
fn what_a_reader_would_take_for_another_figure_is_refused() {
    let price = ["--value", "price", "--cars", "9"];
    for (text, said) in [
        // An unquoted comma: 1,840 would be 1.
        (
            "price\n1,840\n",
            "found `840`; expected nothing beyond the last column",
        ),
        (
            "price;n\n1.840;1\n",
            "found `1.840`; expected a figure without grouping",
        ),
        (
            "price;n\n1,840;1\n",
            "found `1,840`; expected a figure without grouping",
        ),
        (
            "price,n,price\n1,2,3\n",
            "row 1: found `price`; expected each column once",
        ),
        ("price\n", "expected a row for each one that was counted"),
    ] {
        let (out, exit) = ran(&[("counted.csv", text)], &price);
        assert_eq!(exit, Exit::Problems, "{text}: {out}");
        assert!(out.contains(said), "{text}: {out}");
    }
}

/// A ratio needs a counted one in every stratum: nothing else is put in its place.
#[test]
fn a_ratio_that_can_not_be_is_no_figure() {
    let sizes = format!("{SIZES}van,9\n");
    let files = [("counted.csv", COUNTED), ("sizes.csv", sizes.as_str())];
    let ratio = ["--ratio", "worth", "--known", "6600000"];
    let found = estimated(&files, &[&STRATA[..], &ratio].concat());
    assert_eq!(found["total"], Value::Null);
    assert_eq!(found["ratio"], Value::Null);
    assert!(found["plain"]["total"].is_f64());
}

#[test]
fn usage_is_said() {
    for args in [
        &["lot", "--table", "x.csv", "--value", "a"][..],
        &["lot", "--table", "x.csv", "--value", "a", "--cars", "0"],
        &[
            "lot", "--table", "x.csv", "--value", "a", "--cars", "5", "--ratio", "b",
        ],
        &[
            "lot", "--table", "x.csv", "--value", "a", "--cars", "5", "--within", "0",
        ],
        &[
            "lot", "--table", "x.csv", "--value", "a", "--cars", "5", "--ratio", "b", "--known",
            "NaN",
        ],
    ] {
        assert_eq!(hailyard(args).exit, Exit::Usage, "{args:?}");
    }
    let missing = hailyard(&[
        "lot",
        "--table",
        "no/such.csv",
        "--value",
        "a",
        "--cars",
        "5",
    ]);
    assert_eq!(missing.exit, Exit::Problems);
    assert!(missing.err.contains("no/such.csv"), "{}", missing.err);
}
