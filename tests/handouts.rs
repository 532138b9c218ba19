//! What people are handed: pages, sheets, pictures. Their figures are those of
//! the CSV files, whose figures other tests check; text of the inputs comes
//! out as text everywhere.

use crate::builder::{Folder, OneCar, SMALL_CARD, hailyard, read_csv};
use hailyard::cli::Exit;
use std::collections::BTreeSet;
use std::path::Path;

pub fn made(folder: &Folder, more: &[&str]) -> Folder {
    let out = Folder::new();
    let arg = folder.arg();
    let to = out.path().join("r");
    let mut arguments = vec!["storm", &arg, "--out", to.to_str().expect("a path")];
    arguments.extend(more);
    let ran = hailyard(&arguments);
    assert_eq!(ran.exit, Exit::Done, "{}{}", ran.out, ran.err);
    out
}

fn text_of(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The tags of a page: each its name and its attributes' names. A tokenizer of
/// our own that knows nothing of the templates: outside `<script>` and
/// `<style>` every `<` begins a tag, and a tag ends at the next `>` outside quotes.
fn tags(page: &str) -> Vec<(String, Vec<String>)> {
    let mut tags = Vec::new();
    let mut rest = page;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let (mut quoted, mut end) = (false, None);
        for (at, c) in rest.char_indices() {
            match c {
                '"' => quoted = !quoted,
                '>' if !quoted => {
                    end = Some(at);
                    break;
                }
                _ => {}
            }
        }
        let tag = &rest[..end.expect("a tag ends")];
        rest = &rest[tag.len() + 1..];
        let name: String = tag
            .chars()
            .take_while(|c| !c.is_whitespace())
            .collect::<String>()
            .trim_end_matches('/')
            .to_owned();
        let mut attributes = Vec::new();
        let mut inside = false;
        let mut word = String::new();
        for c in tag[name.len().min(tag.len())..].chars() {
            match c {
                '"' => {
                    inside = !inside;
                    word.clear();
                }
                _ if inside => {}
                '=' => attributes.push(std::mem::take(&mut word)),
                c if c.is_whitespace() => word.clear(),
                c => word.push(c),
            }
        }
        for raw in ["script", "style"] {
            if name == raw {
                let close = format!("</{raw}>");
                rest = &rest[rest.find(&close).expect("it is closed")..];
            }
        }
        tags.push((name, attributes));
    }
    tags
}

/// All text of a page between its tags, entities resolved.
fn words(page: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for c in page.chars() {
        match c {
            '<' => inside = true,
            '>' if inside => {
                inside = false;
                text.push(' ');
            }
            c if !inside => text.push(c),
            _ => {}
        }
    }
    for (entity, character) in [
        ("&#60;", "<"),
        ("&#62;", ">"),
        ("&#34;", "\""),
        ("&#39;", "'"),
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#38;", "&"),
        ("&amp;", "&"),
    ] {
        text = text.replace(entity, character);
    }
    text
}

const SCRIPT: &str = "<script>alert(1)</script>";
const BREAK: &str = "\"><img src=x onerror=alert(1)>";
const FORMULA: &str = "=HYPERLINK(1)";
const TURNED: &str = "safe\u{202e}gpj.exe";

pub fn hostile() -> Folder {
    let long = "long ".repeat(6_000);
    let csv = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
    let vehicle = |stock: &str| {
        let mut row = vec![csv(stock)];
        // vin, year, make, model, body, payer, claim, plate, colour, odometer, owner, row
        for text in [
            SCRIPT, BREAK, FORMULA, TURNED, "suv", "", SCRIPT, BREAK, FORMULA, TURNED, &long,
            SCRIPT,
        ] {
            row.push(csv(text));
        }
        row.join(",")
    };
    let stocks = ["../x", "CON", "a-12", "A-12", "<b>", FORMULA, TURNED, "x."];
    let mut list =
        "stock,vin,year,make,model,body,payer,claim,plate,colour,odometer,owner,row\n".to_owned();
    let mut counts = "stock,panel,dime,counted_by,counted_on,note\n".to_owned();
    for stock in stocks {
        list.push_str(&vehicle(stock));
        list.push('\n');
        counts.push_str(&format!(
            "{},hood,3,{},{},{}\n",
            csv(stock),
            csv(SCRIPT),
            csv(BREAK),
            csv(&long)
        ));
    }
    let agreed = format!(
        "stock,panel,group,item,amount,by,date,note\nCON,hood,extra,{},5.00,{},{},{}\n",
        csv(SCRIPT),
        csv(BREAK),
        csv(TURNED),
        csv(FORMULA)
    );
    Folder::new()
        .file(
            "storm.toml",
            "name = \"<script>alert(1)</script> storm\"\ncurrency = \"USD\"\n[from]\nname = \"<b>Us</b>\"\naddress = \"<i>Lane</i>\"\nphone = \"<u>1</u>\"\nemail = \"\\\"><img src=x>\"\nregistration = \"=1\"\nnote = \"<script>alert(1)</script>\"\n[[payer]]\nname = \"\\\"><img src=x onerror=alert(1)>\"\nrate_card = \"rates/card.toml\"\n",
        )
        .file(
            "rates/card.toml",
            SMALL_CARD.replace("Small card", "<script>alert(1)</script>")
                + "\n[[extra]]\nname = \"<img src=x>\"\nper = \"vehicle\"\namount = \"5.00\"\n",
        )
        .file("vehicles.csv", list)
        .file("counts/lot.csv", counts)
        .file("agreed.csv", agreed)
}

/// Scripts, formula starts, direction marks, 30,000 characters and parts of
/// paths in every column: every page holds the tags of the templates and no
/// others, and the text is there to be read.
#[test]
fn hostile_text_comes_out_as_text_on_every_page() {
    let out = made(&hostile(), &["--only", "html,pdf,xlsx,text,tables"]);
    let root = out.path().join("r");
    let known: BTreeSet<&str> = [
        "!doctype",
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "nav",
        "ul",
        "li",
        "a",
        "main",
        "article",
        "header",
        "address",
        "br",
        "h1",
        "h2",
        "h3",
        "p",
        "dl",
        "div",
        "dt",
        "dd",
        "strong",
        "bdi",
        "table",
        "caption",
        "thead",
        "tbody",
        "tfoot",
        "tr",
        "th",
        "td",
        "figure",
        "figcaption",
        "svg",
        "rect",
        "line",
        "text",
        "details",
        "summary",
        "span",
        "script",
    ]
    .into();
    let mut pages = vec![
        root.join("index.html"),
        root.join("storm.html"),
        root.join("car-sheets.html"),
    ];
    let mut names = BTreeSet::new();
    for entry in std::fs::read_dir(root.join("cars")).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .to_lowercase();
        assert!(
            names.insert(name.clone()),
            "{name} twice where case does not count"
        );
        pages.push(path);
    }
    assert_eq!(names.len(), 8);
    for path in &pages {
        let page = text_of(path);
        let mut scripts = 0;
        for (name, attributes) in tags(&page) {
            assert!(
                known.contains(name.trim_start_matches('/')),
                "<{name}> in {path:?}"
            );
            scripts += usize::from(name == "script");
            for attribute in attributes {
                assert!(!attribute.starts_with("on"), "{attribute} in {path:?}");
            }
        }
        assert_eq!(scripts, 1, "{path:?}");
        // A direction mark does nothing and is shown.
        assert!(!page.contains('\u{202e}'), "{path:?}");
    }
    let sheet = words(&text_of(&root.join("cars/_c_o_n.html")));
    for said in [
        SCRIPT,
        BREAK,
        FORMULA,
        "safe\\u{202e}gpj.exe",
        "<b>Us</b>",
        "<img src=x>",
    ] {
        assert!(sheet.contains(said), "{said}");
    }
    assert!(
        sheet.contains(&"long ".repeat(6_000)),
        "the long text is whole"
    );
    // In CSV a text never begins as a formula does.
    for table in ["lines", "cars", "totals"] {
        for row in read_csv(&root.join(format!("{table}.csv"))) {
            for cell in row {
                let figure = cell.trim_start_matches('-').replace('.', "");
                let is_figure = !figure.is_empty() && figure.bytes().all(|b| b.is_ascii_digit());
                assert!(
                    is_figure || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']),
                    "{cell}"
                );
            }
        }
    }
}

/// The cells of the table with this caption, row by row, sums too.
fn table(page: &str, caption: &str) -> Vec<Vec<String>> {
    let head = format!("<caption>{caption}</caption>");
    let start = page
        .find(&head)
        .unwrap_or_else(|| panic!("no table {caption}"));
    let part = &page[start..];
    let part = &part[..part.find("</table>").expect("its end")];
    part.split("<tr>")
        .skip(2)
        .map(|row| {
            row.split("<t")
                .filter(|cell| cell.starts_with('d') || cell.starts_with("h "))
                .map(|cell| words(&format!("<t{}", cell)).trim().to_owned())
                .collect()
        })
        .collect()
}

/// Every amount on every car's page is the one in lines.csv, in its order.
#[test]
fn the_sheets_show_the_lines_of_the_tables() {
    let out = Folder::new();
    let to = out.path().join("r");
    let ran = hailyard(&[
        "storm",
        "--out",
        to.to_str().expect("a path"),
        "--only",
        "html,tables",
    ]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let lines = read_csv(&to.join("lines.csv"));
    let cars = read_csv(&to.join("cars.csv"));
    let mut compared = 0;
    for car in &cars[1..] {
        let page = text_of(&to.join(format!("cars/{}.html", car[0])));
        if ["uncounted", "nothing"].contains(&car[2].as_str()) {
            assert!(!page.contains("What it costs"));
            continue;
        }
        let shown = table(&page, "What it costs");
        let expected: Vec<&Vec<String>> = lines.iter().filter(|line| line[0] == car[0]).collect();
        assert!(shown.len() > expected.len(), "the sums stand below");
        for (row, line) in shown.iter().zip(&expected) {
            let amount = match row[3].as_str() {
                "by quote" => String::new(),
                amount => amount.replace(',', ""),
            };
            assert_eq!((&row[0], &row[2], &amount), (&line[1], &line[6], &line[5]));
            compared += 1;
        }
        let total = shown[expected.len()][3].replace([',', ' '], "");
        assert_eq!(
            total.trim_end_matches("+quote").replace("quote", ""),
            car[13]
        );
    }
    assert!(compared > 1_000, "{compared}");
}

/// The bars of a picture are as long as its amounts: both taken from the page,
/// the longest bar as the measure, to the hundredth that is written.
#[test]
fn bars_are_as_long_as_their_amounts() {
    let out = Folder::new();
    let to = out.path().join("r");
    let ran = hailyard(&[
        "storm",
        "--out",
        to.to_str().expect("a path"),
        "--only",
        "html,tables",
    ]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let page = text_of(&to.join("storm.html"));
    let start = page.find("What the money is for").expect("the picture");
    let picture = &page[start..];
    let picture = &picture[..picture.find("</svg>").expect("its end")];
    let wide: Vec<f64> = picture
        .split("<rect ")
        .skip(1)
        .map(|bar| {
            let after = bar.split("width=\"").nth(1).expect("a width");
            after
                .split('"')
                .next()
                .expect("its value")
                .parse()
                .expect("a number")
        })
        .collect();
    let totals = read_csv(&to.join("totals.csv"));
    let amounts: Vec<f64> = totals
        .iter()
        .filter(|row| row[0] == "payer")
        .flat_map(|row| row[7..13].iter().map(|cell| cell.parse().unwrap_or(0.0)))
        .collect();
    assert_eq!(wide.len(), amounts.len());
    let most = amounts.iter().copied().fold(0.0, f64::max);
    let longest = wide.iter().copied().fold(0.0, f64::max);
    for (wide, amount) in wide.iter().zip(&amounts) {
        // A bar is never thinner than its edge.
        let expected = (longest * amount / most).max(1.0);
        approx::assert_abs_diff_eq!(*wide, expected, epsilon = 0.011);
    }
    // Dents by panel: the numbers in the rectangles are those of the table.
    let start = page.find("aria-label=\"A grid of").expect("the picture");
    let grid = &page[start..];
    let grid = words(&grid[..grid.find("</svg>").expect("its end")]);
    let found: Vec<&str> = grid.split_whitespace().collect();
    for row in totals
        .iter()
        .filter(|row| row[0] == "panel" && row[1] != "(car)")
    {
        let at = found
            .iter()
            .position(|word| *word == row[1])
            .expect("the panel");
        let dents: u64 =
            row[5].parse::<u64>().expect("dents") + row[6].parse::<u64>().expect("oversize");
        assert_eq!(found[at + 1], dents.to_string(), "{}", row[1]);
    }
}

/// A photograph stands on the car's page and in the PDF; the page's copy holds
/// none of the camera's marks, and a file that is no picture is a caution.
#[test]
fn photographs_stand_on_the_sheet_without_the_cameras_marks() {
    let mut picture = image::RgbImage::new(320, 200);
    for (x, y, pixel) in picture.enumerate_pixels_mut() {
        *pixel = image::Rgb([(x % 256) as u8, (y % 256) as u8, 90]);
    }
    let mut jpeg = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 90)
        .encode_image(&picture)
        .expect("encodes");
    // A comment segment (ITU T.81, B.2.4.5) right after the start of image:
    // its length counts itself, 2, and the text, 21.
    let text = b"Lat 12.34 2026-06-15 ";
    let mut marked = jpeg[..2].to_vec();
    marked.extend([0xff, 0xfe, 0, 2 + 21]);
    marked.extend(text);
    marked.extend(&jpeg[2..]);
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\nB2,hood,3\n")
        .folder()
        .file("photos/A1/front.jpg", marked.clone())
        .file("photos/B2/notes.jpg", "no picture");
    let out = made(&storm, &["--only", "html,pdf,text"]);
    let root = out.path().join("r");
    let page = text_of(&root.join("cars/_a1.html"));
    let data = page
        .split("data:image/jpeg;base64,")
        .nth(1)
        .expect("a picture");
    let data = data.split('"').next().expect("its end");
    use base64::Engine;
    let bytes = base64::engine::general_purpose::STANDARD
        .decode(data)
        .expect("base64");
    let holds = |bytes: &[u8]| bytes.windows(text.len()).any(|window| window == text);
    assert!(holds(&marked) && !holds(&bytes));
    let shown = image::load_from_memory(&bytes).expect("a picture");
    assert_eq!((shown.width(), shown.height()), (320, 200));
    let pdf = std::fs::read(root.join("car-sheets.pdf")).expect("a PDF");
    assert!(pdf.windows(9).any(|window| window == b"DCTDecode"));
    assert!(!holds(&pdf));
    let problems = text_of(&root.join("problems.txt"));
    assert!(problems.contains("photos/B2/notes.jpg"), "{problems}");
    assert!(text_of(&root.join("index.html")).contains("photos/B2/notes.jpg"));
}

/// Twenty payers with long names: no mark of a picture is taller than a page
/// (a page of A4 has 762 points of text, a unit of a picture 0.64 of a point),
/// and no word begins outside it.
#[test]
fn pictures_of_many_payers_go_on_to_another() {
    let mut storm = String::from("name = \"Many\"\ncurrency = \"USD\"\n");
    let mut list = String::from("stock,payer\n");
    let mut counts = String::from("stock,panel,dime\n");
    for payer in 0..20 {
        let name = format!("Payer {payer} {}", "of the long name ".repeat(20));
        storm.push_str(&format!(
            "[[payer]]\nname = \"{}\"\nrate_card = \"rates/card.toml\"\n",
            name.trim()
        ));
        list.push_str(&format!("C{payer},{}\n", name.trim()));
        counts.push_str(&format!("C{payer},hood,{}\n", payer + 3));
    }
    let folder = Folder::new()
        .file("storm.toml", storm)
        .file("rates/card.toml", SMALL_CARD)
        .file("vehicles.csv", list)
        .file("counts/lot.csv", counts);
    let out = made(&folder, &["--only", "html,pdf"]);
    let page = text_of(&out.path().join("r/storm.html"));
    let mut pictures = 0;
    for picture in page.split("<svg viewBox=\"-1 -1 ").skip(1) {
        let view = picture.split('"').next().expect("a box");
        let high: f64 = view
            .split(' ')
            .nth(1)
            .expect("a height")
            .parse()
            .expect("a number");
        assert!(high * 0.64 < 762.0, "{high}");
        let picture = picture.split("</svg>").next().expect("its end");
        for word in picture.split("<text ").skip(1) {
            let letters = words(&format!("<{word}")).trim().chars().count();
            assert!(letters <= 70, "{letters} letters");
        }
        pictures += 1;
    }
    // 20 payers by four: five pictures of money, five of prices, one of panels.
    assert_eq!(pictures, 11);
}

/// Who pays what is explained: the car's own deductible before the payer's,
/// and what the payer's maximum for all owners leaves.
#[test]
fn the_owners_part_is_explained() {
    // 3 dimes 10.00, 10 dimes 20.00; the payer's deductible 15.00, 28.00 for all
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\nB2,hood,10\nC3,hood,10\nD4,hood,0\n")
        .terms("deductible = \"15.00\"\ndeductible_event_max = \"28.00\"")
        .vehicles("stock,deductible\nA1,\nB2,12.00\nC3,\nD4,\n")
        .folder();
    let said = |stock: &str| {
        let ran = hailyard(&["car", stock, &storm.arg()]);
        ran.out
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .replace(" | | ", " ")
    };
    assert!(said("A1").contains("the payer's deductible 15.00, at most the total"));
    assert!(said("B2").contains("this car's own deductible 12.00"));
    // 28.00 - 10.00 - 12.00
    let third = said("C3");
    for part in [
        "the payer's deductible 15.00; of 28.00 at most for all owners",
        "6.00 was left",
    ] {
        assert!(third.contains(part), "{third}");
    }
    assert!(said("D4").contains("No dents of this storm: nothing to price."));
}

/// More than 400 photographs (17 cars with 24 each, 408): the file of all sheets
/// says where they are, the car's own page has them, the PDF holds none.
#[test]
fn many_photographs_stand_on_the_cars_own_page_only() {
    let picture = image::RgbImage::from_pixel(40, 30, image::Rgb([9, 90, 200]));
    let mut jpeg = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 80)
        .encode_image(&picture)
        .expect("encodes");
    let mut counts = String::from("stock,panel,dime\n");
    for car in 0..17 {
        counts.push_str(&format!("C{car},hood,3\n"));
    }
    let mut storm = OneCar::new(&counts).folder();
    for car in 0..17 {
        for photo in 0..24 {
            storm = storm.file(&format!("photos/C{car}/{photo}.jpg"), jpeg.clone());
        }
    }
    let out = made(&storm, &["--only", "html,pdf"]);
    let root = out.path().join("r");
    let all = text_of(&root.join("car-sheets.html"));
    assert!(!all.contains("data:image"));
    assert_eq!(all.matches("24 photographs: on the car").count(), 17);
    let own = text_of(&root.join("cars/_c3.html"));
    assert_eq!(own.matches("data:image/jpeg").count(), 24);
    let pdf = std::fs::read(root.join("car-sheets.pdf")).expect("a PDF");
    assert!(!pdf.windows(9).any(|window| window == b"DCTDecode"));
}

#[test]
fn only_what_is_asked_for_is_written() {
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\n").folder();
    for (only, expected) in [
        (
            "text",
            vec!["car-sheets.txt", "problems.txt", "summary.txt"],
        ),
        ("pdf", vec!["car-sheets.pdf", "storm.pdf"]),
        (
            "html",
            vec!["car-sheets.html", "cars", "index.html", "storm.html"],
        ),
    ] {
        let out = made(&storm, &["--only", only]);
        let mut names: Vec<String> = std::fs::read_dir(out.path().join("r"))
            .expect("a folder")
            .map(|entry| {
                entry
                    .expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        names.sort();
        assert_eq!(names, expected);
    }
    let ran = hailyard(&["storm", &storm.arg(), "--only", "everything"]);
    assert_eq!(ran.exit, Exit::Usage);
}

/// Scripts that the fonts have, have not, write from the right or join; signs
/// of private use and such as are none: a PDF comes of all of them.
#[test]
fn any_script_gives_a_pdf() {
    for (owner, for_long) in [
        ("Zoë Łukasiewicz", true),
        ("Αθηνά Иванова", true),
        ("مرحبا שלום", true),
        ("山田 太郎 \u{1f600}", true),
        ("क्षितिज e\u{301}\u{302}\u{303}", true),
        ("\u{e000}\u{f8ff}", false),
        ("\u{fffe}\u{ffff}\u{200d}\u{2028}\u{feff}", true),
    ] {
        let storm = OneCar::new("stock,panel,dime\nA1,hood,3\n")
            .vehicles(&format!("stock,owner\nA1,{owner}\n"))
            .folder();
        let out = made(&storm, &["--only", "pdf"]);
        let bytes = std::fs::read(out.path().join("r/car-sheets.pdf")).expect("a PDF");
        assert!(bytes.starts_with(b"%PDF-1.7"), "{owner}");
        let says = bytes.windows(11).any(|window| window == b"pdfaid:part");
        assert!(says || !for_long, "{owner}: {says}");
    }
}

/// `--open` hands the index to the system's opener; here that is a script of
/// the test's, which writes down what it was given.
#[cfg(target_os = "linux")]
#[test]
fn open_shows_the_index() {
    use std::os::unix::fs::PermissionsExt;
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\n").folder();
    let tools = Folder::new().file(
        "xdg-open",
        "#!/bin/sh\necho \"$1\" > \"$(dirname \"$0\")/seen\"\n",
    );
    let script = tools.path().join("xdg-open");
    std::fs::set_permissions(&script, std::fs::Permissions::from_mode(0o755)).expect("set");
    let out = Folder::new();
    let path = std::env::var("PATH").unwrap_or_default();
    let status = std::process::Command::new(env!("CARGO_BIN_EXE_hailyard"))
        .args(["storm", "--only", "html", "--open", "--out"])
        .arg(out.path().join("r"))
        .arg(storm.path())
        .env("PATH", format!("{}:{path}", tools.path().display()))
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .status()
        .expect("runs");
    assert!(status.success());
    // It is let go of, so it may take a moment to write.
    let seen = tools.path().join("seen");
    let said = (0..200).find_map(|_| {
        std::thread::sleep(std::time::Duration::from_millis(25));
        std::fs::read_to_string(&seen)
            .ok()
            .filter(|said| said.ends_with('\n'))
    });
    let said = said.expect("the opener was called");
    assert!(said.trim_end().ends_with("r/index.html"), "{said}");
}

/// A PDF/A says so in its metadata, and holds its fonts.
#[test]
fn a_pdf_is_of_the_form_for_long_keeping_and_on_the_paper_asked_for() {
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\n").folder();
    for (paper, box_of) in [("a4", "595.27"), ("letter", "612")] {
        let out = made(&storm, &["--only", "pdf", "--paper", paper]);
        let bytes = std::fs::read(out.path().join("r/car-sheets.pdf")).expect("a PDF");
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.starts_with("%PDF-1.7"));
        assert!(text.contains("<pdfaid:part>2</pdfaid:part>"));
        assert!(text.contains("<pdfaid:conformance>B</pdfaid:conformance>"));
        assert!(text.contains("/FontFile2"), "an embedded font");
        assert!(text.contains(&format!("[0 0 {box_of}")), "{paper}");
    }
}
