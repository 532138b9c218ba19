//! Tests with real programs: a spreadsheet program makes the workbooks, a
//! query engine reads the Parquet. They need these programs, so they are
//! ignored by default and run by `.ci/run`.

mod recalculated;
mod ubl;

use crate::builder::{Folder, Tables, data, read_csv};
use std::path::Path;
use std::process::Command;

/// Converts files with LibreOffice.
#[track_caller]
fn convert(to: &str, files: &[&Path], into: &Path) {
    let profile = tempfile::TempDir::new().expect("a temporary folder");
    let status = Command::new("soffice")
        .arg(format!(
            "-env:UserInstallation=file://{}",
            profile.path().display()
        ))
        .args(["--headless", "--convert-to", to, "--outdir"])
        .arg(into)
        .args(files)
        .output()
        .expect("soffice runs");
    assert!(status.status.success(), "{status:?}");
}

/// One storm in three layouts, each saved by LibreOffice in three formats:
/// nine workbooks, one price.
#[test]
#[ignore = "needs LibreOffice"]
fn workbooks_saved_by_a_spreadsheet_program_price_like_the_text_they_came_from() {
    for layout in ["panel", "dents", "cars"] {
        let storm = data("storms/rows-7301").join(layout);
        for format in ["xlsx", "ods", "xls"] {
            let mut folder = Folder::new();
            for name in [
                "storm.toml",
                "vehicles.csv",
                "rates/open-lot.toml",
                "rates/rails.csv",
            ] {
                let bytes = std::fs::read(storm.join(name)).expect("a file");
                folder = folder.file(name, bytes);
            }
            let counts = folder.path().join("counts");
            convert(format, &[&storm.join("counts/lot.csv")], &counts);
            assert!(counts.join(format!("lot.{format}")).exists());
            let tables = Tables::of(folder.path());
            for table in ["lines", "cars", "totals"] {
                let expected = read_csv(&storm.join(format!("expected/{table}.csv")));
                let width = if table == "lines" {
                    6
                } else {
                    expected[0].len()
                };
                assert_eq!(tables.rows(table).len(), expected.len());
                for (found, expected) in tables.rows(table).iter().zip(&expected) {
                    assert_eq!(found[..width], expected[..width], "{layout} as {format}");
                }
            }
        }
    }
}

/// DuckDB reads the Parquet files: the types are DECIMAL(38, places), and
/// every cell is what the CSV beside it says.
#[test]
#[ignore = "needs Python with DuckDB"]
fn a_query_engine_reads_the_parquet_files_as_the_csv_says() {
    let out = tempfile::TempDir::new().expect("a temporary folder");
    let ran = crate::builder::hailyard(&[
        "price",
        data("storms/edge-7105").to_str().expect("a path"),
        "--out",
        out.path().to_str().expect("a path"),
    ]);
    assert_eq!(ran.exit, hailyard::cli::Exit::Done, "{}", ran.err);
    let script = r#"
import csv, duckdb, sys
for name in ("lines", "cars", "totals"):
    path = f"{sys.argv[1]}/{name}"
    types = {r[0]: r[1] for r in duckdb.sql(f"describe select * from '{path}.parquet'").fetchall()}
    for column, kind in types.items():
        if column in ("amount", "total", "payer_pays") or column.endswith("_amount"):
            assert kind == "DECIMAL(38,3)", (column, kind)
    rows = duckdb.sql(f"select * from '{path}.parquet'").fetchall()
    with open(path + ".csv", newline="") as f:
        text = list(csv.reader(f))
    assert len(rows) + 1 == len(text), (name, len(rows), len(text))
    for row, cells in zip(rows, text[1:]):
        for value, cell in zip(row, cells):
            shown = "" if value is None else str(value)
            # CSV guards text that a spreadsheet would run.
            assert shown == cell or "'" + shown == cell, (name, shown, cell)
print("equal")
"#;
    let python = std::env::var("HAILYARD_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let ran = Command::new(python)
        .args(["-c", script])
        .arg(out.path())
        .output()
        .expect("Python runs");
    let said = String::from_utf8_lossy(&ran.stderr);
    assert!(ran.status.success(), "{said}");
    assert_eq!(String::from_utf8_lossy(&ran.stdout).trim(), "equal");
}

/// A file system of 64 KiB: the old reports stay whole, the status is 3.
#[test]
#[ignore = "needs the right to mount a small file system"]
fn a_full_disk_leaves_the_old_reports_and_ends_with_3() {
    let place = tempfile::TempDir::new().expect("a temporary folder");
    let mounted = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=64k", "tmpfs"])
        .arg(place.path())
        .status()
        .expect("mount runs");
    assert!(mounted.success());
    let old = "stock,panel\n";
    std::fs::write(place.path().join("lines.csv"), old).expect("written");
    let ran = crate::builder::hailyard(&[
        "price",
        data("storms/lot-7001").to_str().expect("a path"),
        "--out",
        place.path().to_str().expect("a path"),
    ]);
    let kept = std::fs::read_to_string(place.path().join("lines.csv")).expect("still there");
    let left = std::fs::read_dir(place.path()).expect("a folder").count();
    let unmounted = Command::new("umount")
        .arg(place.path())
        .status()
        .expect("umount runs");
    assert!(unmounted.success());
    assert_eq!(ran.exit, hailyard::cli::Exit::Failed, "{}", ran.err);
    assert!(ran.err.contains("could not write"), "{}", ran.err);
    assert_eq!((kept.as_str(), left), (old, 1));
}

/// A report folder on a file system that is mounted to be read only.
#[test]
#[ignore = "needs the right to mount a small file system"]
fn a_read_only_folder_keeps_the_old_reports_and_ends_with_3() {
    let place = tempfile::TempDir::new().expect("a temporary folder");
    let mount = |arguments: &[&str]| {
        let status = Command::new("mount")
            .args(arguments)
            .arg(place.path())
            .status()
            .expect("mount runs");
        assert!(status.success());
    };
    mount(&["-t", "tmpfs", "tmpfs"]);
    let old = "stock,panel\n";
    std::fs::write(place.path().join("lines.csv"), old).expect("written");
    mount(&["-o", "remount,ro"]);
    let out = place.path().to_str().expect("a path");
    let storm = data("storms/lot-7001");
    let storm = storm.to_str().expect("a path");
    let runs = [
        crate::builder::hailyard(&["price", storm, "--out", out]),
        crate::builder::hailyard(&["price", storm, "--out", &format!("{out}/new")]),
        crate::builder::hailyard(&["start", &format!("{out}/storm")]),
    ];
    let kept = std::fs::read_to_string(place.path().join("lines.csv")).expect("still there");
    let left = std::fs::read_dir(place.path()).expect("a folder").count();
    let unmounted = Command::new("umount")
        .arg(place.path())
        .status()
        .expect("umount runs");
    assert!(unmounted.success());
    for ran in runs {
        assert_eq!(ran.exit, hailyard::cli::Exit::Failed, "{}", ran.err);
        assert!(ran.err.contains("could not write"), "{}", ran.err);
    }
    assert_eq!((kept.as_str(), left), (old, 1));
}

/// Hostile text in every column: LibreOffice opens the tables and the workbook,
/// and the only formulas it sees are those of the workbook that the tool wrote.
#[test]
#[ignore = "needs LibreOffice"]
fn no_formula_arises_from_data() {
    let out = crate::handouts::made(&crate::handouts::hostile(), &["--only", "tables,xlsx"]);
    let root = out.path().join("r");
    let into = out.path().join("opened");
    let files: Vec<_> = ["lines.csv", "cars.csv", "totals.csv", "storm.xlsx"]
        .iter()
        .map(|name| root.join(name))
        .collect();
    let paths: Vec<&Path> = files.iter().map(std::path::PathBuf::as_path).collect();
    convert("fods", &paths, &into);
    let read = |name: &str| std::fs::read_to_string(into.join(name)).expect("opened");
    for name in ["lines.fods", "cars.fods", "totals.fods"] {
        let text = read(name);
        if name != "totals.fods" {
            assert!(text.contains("CON"), "{name} holds the cars");
        }
        assert_eq!(text.matches("table:formula").count(), 0, "{name}");
    }
    // Of the workbook's own: as many as its parts hold `<f>`.
    let bytes = std::fs::read(root.join("storm.xlsx")).expect("a workbook");
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("a zip");
    let mut written = 0;
    for index in 0..archive.len() {
        let mut part = String::new();
        let mut member = archive.by_index(index).expect("a member");
        if std::io::Read::read_to_string(&mut member, &mut part).is_ok() {
            written += part.matches("<f>").count();
            assert!(!part.contains("<f>HYPERLINK") && !part.contains("<f>=HYPERLINK"));
        }
    }
    let found = read("storm.fods").matches("table:formula=").count();
    assert!(written > 50);
    assert_eq!(found, written);
}

/// Another program finds every sheet's amounts in the PDF, page by page, with
/// the head of the table again on every page that a table goes on, and a third
/// finds the file sound. `qpdf --check` reads structure and streams.
#[test]
#[ignore = "needs pdftotext and qpdf"]
fn the_pdf_is_sound_and_its_text_is_found() {
    let out = tempfile::TempDir::new().expect("a temporary folder");
    let to = out.path().to_str().expect("a path");
    let ran = crate::builder::hailyard(&["storm", "--out", to, "--only", "pdf,tables"]);
    assert_eq!(ran.exit, hailyard::cli::Exit::Done, "{}", ran.err);
    for name in ["storm.pdf", "car-sheets.pdf"] {
        let checked = Command::new("qpdf")
            .arg("--check")
            .arg(out.path().join(name))
            .output()
            .expect("qpdf runs");
        assert!(checked.status.success(), "{checked:?}");
    }
    let read = Command::new("pdftotext")
        .arg("-layout")
        .arg(out.path().join("car-sheets.pdf"))
        .arg("-")
        .output()
        .expect("pdftotext runs");
    let text = String::from_utf8(read.stdout).expect("UTF-8");
    let lines = read_csv(&out.path().join("lines.csv"));
    let cars = read_csv(&out.path().join("cars.csv"));
    let (mut compared, mut continued) = (0, 0);
    for car in &cars[1..] {
        // The foot of a page names the sheet: storm / stock / day.
        let foot = format!("/ {}", car[0]);
        let pages: Vec<&str> = text
            .split('\u{c}')
            .filter(|page| {
                page.trim_end()
                    .lines()
                    .last()
                    .is_some_and(|last| last.contains(&foot))
            })
            .collect();
        assert!(!pages.is_empty(), "car {}", car[0]);
        let words: Vec<&str> = pages
            .iter()
            .flat_map(|page| page.split_whitespace())
            .collect();
        let mut expected: std::collections::BTreeMap<String, usize> = Default::default();
        for line in lines.iter().filter(|line| line[0] == car[0]) {
            let amount: rust_decimal::Decimal = match line[5].parse() {
                Ok(amount) => amount,
                Err(_) => continue,
            };
            let amount = hailyard::money::Currency::usd().grouped(
                hailyard::money::Currency::usd()
                    .amount(amount)
                    .expect("cents"),
            );
            *expected.entry(amount).or_default() += 1;
        }
        for (amount, times) in &expected {
            let found = words.iter().filter(|word| *word == amount).count();
            assert!(
                found >= *times,
                "car {}: {amount} {found} for {times}",
                car[0]
            );
            compared += times;
        }
        for page in &pages {
            // Rows end with an amount; the sum in words has its `=`.
            let rows = page.lines().filter(|line| {
                let last = line.split_whitespace().last().unwrap_or("");
                !line.contains(" = ") && last.contains('.') && last.parse::<f64>().is_ok()
            });
            let headed = page.contains("how it arose") || page.contains("how it would arise");
            assert!(
                headed || rows.count() == 0,
                "car {}: rows without a head",
                car[0]
            );
        }
        let headed = pages.iter().filter(|page| page.contains("how it arose"));
        continued += usize::from(headed.count() > 1);
    }
    assert!(compared > 1_000 && continued > 5, "{compared} {continued}");
}

/// Every kind of page in Chromium (`tests/clients/browser.cjs`): console,
/// requests, sorting, the keyboard, 320 pixels, axe-core, print on two papers.
#[test]
#[ignore = "needs Chromium, Node with playwright-core and axe-core, and pdftotext"]
fn the_pages_hold_in_a_real_browser() {
    let made = Folder::new().file(
        "strip.csv",
        "stock,panel,dime,nickel,metal\nT1,hood,10,60,aluminium\nT1,door-fl,7,0,\n",
    );
    let strip = made.path().join("strip.csv");
    let out = made.path().join("all");
    let kept = made.path().join("kept");
    let to = |folder: &Path| folder.to_str().expect("a path").to_owned();
    let runs: [&[&str]; 4] = [
        &["storm", "--only", "html", "--out", &to(&out)],
        &["car", "47122", "--out", &to(&kept)],
        &[
            "compare",
            "--card",
            "data/cards/coins.toml",
            "--card",
            "data/cards/millimetres.toml",
            "--out",
            &to(&kept),
        ],
        &[
            "recount",
            &to(&data("storms/worked-example")),
            &to(&strip),
            "--out",
            &to(&kept),
        ],
    ];
    for run in runs {
        let ran = crate::builder::hailyard(run);
        assert_eq!(ran.exit, hailyard::cli::Exit::Done, "{}", ran.err);
    }
    // Of sixty car pages a few: whole, with a quote, not counted.
    for name in [
        "index",
        "storm",
        "car-sheets",
        "cars/47101",
        "cars/47136",
        "cars/47114",
    ] {
        let from = out.join(format!("{name}.html"));
        let name = name.replace("cars/", "sheet-");
        std::fs::copy(from, kept.join(format!("{name}.html"))).expect("copied");
    }
    let chromium = std::env::var("HAILYARD_CHROMIUM").unwrap_or_else(|_| "chromium".to_owned());
    let ran = Command::new("node")
        .arg(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/tests/clients/browser.cjs"
        ))
        .arg(chromium)
        .arg(&kept)
        .output()
        .expect("Node runs");
    let said = String::from_utf8_lossy(&ran.stdout) + String::from_utf8_lossy(&ran.stderr);
    assert!(ran.status.success(), "{said}");
}

/// Hostile and large inputs: the process's own peak, as the system counts it,
/// stays under 600 MiB, and it ends by itself with status 1 or 0.
#[test]
#[ignore = "needs Python"]
fn hostile_files_stay_under_600_mebibytes() {
    let work = tempfile::TempDir::new().expect("a temporary folder");
    let python = std::env::var("HAILYARD_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let ran = Command::new(python)
        .arg("-c")
        .arg(include_str!("clients/hostile.py"))
        .arg(env!("CARGO_BIN_EXE_hailyard"))
        .arg(work.path())
        .output()
        .expect("Python runs");
    let said = String::from_utf8_lossy(&ran.stdout) + String::from_utf8_lossy(&ran.stderr);
    assert!(ran.status.success(), "{said}");
}
