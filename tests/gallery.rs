//! A gallery of messages: one tiny input each, and all that is said of it, in
//! `tests/gallery.md`, to be read as a page. After a change of wording
//! `HAILYARD_GALLERY=write cargo test gallery` writes it anew.

use crate::builder::{Folder, SMALL_CARD, hailyard};
use std::fmt::Write;

const STORM: &str = "name = \"S\"\ncurrency = \"USD\"\n[[payer]]\nname = \"Harl Cover\"\nrate_card = \"rates/card.toml\"\n";

/// A sound storm with some files in place of its own.
fn said(files: &[(&str, &str)]) -> String {
    let mut folder = Folder::new()
        .file("storm.toml", STORM)
        .file("rates/card.toml", SMALL_CARD);
    if !files.iter().any(|(path, _)| path.starts_with("counts/")) {
        folder = folder.file("counts/lot.csv", "stock,panel,dime\nA1,hood,3\n");
    }
    for (path, text) in files {
        folder = folder.file(path, text);
    }
    let ran = hailyard(&["check", &folder.arg()]);
    // The first line names a temporary folder.
    ran.out
        .lines()
        .skip(1)
        .fold(String::new(), |mut text, line| {
            let _ = writeln!(text, "{line}");
            text
        })
}

/// Count sheets, most of them a header and a row.
const SHEETS: [(&str, &str); 40] = [
    ("grouped figures", "stock,panel,dime\nA1,hood,\"1,234\"\n"),
    ("an exponent", "stock,panel,dime\nA1,hood,1e3\n"),
    ("a decimal", "stock,panel,dime\nA1,hood,12.5\n"),
    ("a zero after the point", "stock,panel,dime\nA1,hood,2.0\n"),
    (
        "a word beside the figure",
        "stock,panel,dime\nA1,hood,12 dents\n",
    ),
    ("letters for digits", "stock,panel,dime\nA1,hood,1O\n"),
    ("below nothing", "stock,panel,dime\nA1,hood,-3\n"),
    (
        "too many on a panel",
        "stock,panel,dime,nickel\nA1,hood,9000,1000\n",
    ),
    ("a misspelt panel", "stock,panel,dime\nA1,bonet,3\n"),
    ("a panel without its side", "stock,panel,dime\nA1,door,3\n"),
    ("no panel", "stock,panel,dime\nA1,,3\n"),
    (
        "an unknown metal",
        "stock,panel,dime,metal\nA1,hood,3,tin\n",
    ),
    (
        "an unknown access",
        "stock,panel,dime,access\nA1,hood,3,shut\n",
    ),
    (
        "an unknown paint",
        "stock,panel,dime,paint\nA1,hood,3,repaited\n",
    ),
    (
        "another unit",
        "stock,panel,dime,oversize\nA1,hood,3,5.5 cm\n",
    ),
    ("a dent of no size", "stock,panel,diameter_mm\nA1,hood,0\n"),
    (
        "a dent beyond all measure",
        "stock,panel,dime,oversize\nA1,hood,3,40; 650\n",
    ),
    ("no diameter", "stock,panel,diameter_mm,count\nA1,hood,,2\n"),
    (
        "two metals on a panel",
        "stock,panel,diameter_mm,metal\nA1,hood,14,alu\nA1,hood,15,steel\n",
    ),
    (
        "dents without a size",
        "stock,panel,dents,size\nA1,hood,20,\n",
    ),
    (
        "a misspelt size",
        "stock,panel,dents,size\nA1,hood,20,dimes\n",
    ),
    (
        "a total that is not the sum",
        "stock,panel,dime,nickel,dents\nA1,hood,3,4,8\n",
    ),
    (
        "a panel twice",
        "stock,panel,dime\nA1,hood,3\nA1,Bonnet,3\n",
    ),
    ("a blank stock", "stock,panel,dime\nA1,hood,3\n,roof,3\n"),
    ("a row of sums", "stock,panel,dime\nA1,hood,3\nTotal,,3\n"),
    (
        "beyond the last column",
        "stock,panel,dime\nA1,hood,3,lamp cracked\n",
    ),
    (
        "neither yes nor no",
        "stock,panel,dime,conventional\nA1,hood,3,maybe\n",
    ),
    (
        "an unknown column with figures",
        "stock,panel,dime,penny\nA1,hood,3,4\n",
    ),
    (
        "an unknown column with words",
        "stock,panel,dime,sky\nA1,hood,3,grey\n",
    ),
    ("a column twice", "stock,panel,dime,Dime\nA1,hood,3,4\n"),
    (
        "a removal that the card lacks",
        "stock,panel,dime,remove\nA1,hood,3,sun-visor\n",
    ),
    (
        "a misspelt class in a car row",
        "stock,hood\nA1,23 nickle\n",
    ),
    ("a bare number in a car row", "stock,hood\nA1,12\n"),
    ("a word in a car row", "stock,hood\nA1,4 dime + shiny\n"),
    (
        "a side missing in a header",
        "stock,hood,door\nA1,4 dime,2 dime\n",
    ),
    ("no header", "a,b\n1,2\n"),
    (
        "an oversize dent that fits a class",
        "stock,panel,dime,oversize\nA1,hood,3,20\n",
    ),
    (
        "broken paint on a priced panel",
        "stock,panel,dime,paint\nA1,hood,3,broken\n",
    ),
    (
        "a quote that is never closed",
        "stock,panel,dime,note\nA1,hood,3,\"wet\nB2,hood,5,\n",
    ),
    (
        "a blank stock under a row of sums",
        "stock,panel,dime\nA1,hood,3\nTotal,,3\n,roof,5\n",
    ),
];

const LISTS: [(&str, &str); 10] = [
    ("a stock twice", "stock,body\nA1,suv\nA1,suv\n"),
    ("an unknown body", "stock,body\nA1,lorry\n"),
    ("a misspelt payer", "stock,payer\nA1,Harl Covr\n"),
    ("a value below nothing", "stock,value\nA1,-5.00\n"),
    (
        "a value finer than the currency",
        "stock,value\nA1,5000.125\n",
    ),
    ("a car without counts", "stock,body\nA1,suv\nB2,suv\n"),
    ("a VIN too short", "stock,vin\nA1,8XZ0000000000001\n"),
    ("a stock in other letters", "stock,body\na1,suv\n"),
    ("a day in another order", "stock,due\nA1,22.6.2026\n"),
    ("an urgency that there is not", "stock,priority\nA1,0\n"),
];

const AGREED: [(&str, &str); 5] = [
    (
        "thousands in a file of decimal commas",
        "stock;panel;group;item;amount\nA1;;parts;glass;1.840\n",
    ),
    (
        "an unknown stock",
        "stock,panel,group,item,amount\nZ9,,parts,glass,310.00\n",
    ),
    (
        "a line that has its amount",
        "stock,panel,group,item,amount\nA1,hood,dents,dents dime,80.00\n",
    ),
    (
        "an agreement gone stale",
        "stock,panel,group,item,amount\nA1,hood,,oversize,80.00\n",
    ),
    (
        "a line of its own without a group",
        "stock,panel,group,item,amount\nA1,,,glass,310.00\n",
    ),
];

/// Texts of storm.toml after its payer.
const TERMS: [(&str, &str); 30] = [
    (
        "a misspelt key",
        "discout = [{ on = [\"dents\"], percent = \"5\" }]\n",
    ),
    ("a bare decimal", "minimum = 150.00\n"),
    ("letters for digits", "deductible = \"5OO.00\"\n"),
    (
        "a discount above the whole",
        "discount = [{ on = [\"dents\"], percent = \"60\" }, { on = [\"dents\"], percent = \"50\" }]\n",
    ),
    (
        "another spelling of a word",
        "tax = [{ name = \"t\", percent = \"1\", on = [\"Parts\"] }]\n",
    ),
    ("no TOML", "discount = [\n"),
    (
        "a share of no group",
        "[[share]]\nto = \"the lot\"\nof = \"dent\"\npercent = \"22\"\n",
    ),
    (
        "shares above the whole",
        "[[share]]\nto = \"the lot\"\nof = \"total\"\npercent = \"60\"\n[[share]]\nto = \"finder\"\nof = \"parts\"\npercent = \"50\"\n",
    ),
    (
        "two receivers that differ in letters only",
        "[[share]]\nto = \"Finder\"\nof = \"dents\"\npercent = \"5\"\n[[share]]\nto = \"finder\"\nof = \"parts\"\npercent = \"5\"\n",
    ),
    ("a share of nothing", "[[share]]\nto = \"the lot\"\n"),
    (
        "another word for who bears a redo",
        "[pay]\nredo = \"lot\"\n",
    ),
    (
        "overtime by the storm",
        "[pay]\nperiod = \"storm\"\novertime = \"us-piece-rate\"\n",
    ),
    ("hours without their days", "[hours]\nstart = 2026-06-15\n"),
    (
        "a day that ends before it begins",
        "[hours]\nstart = 2026-06-15\nfrom = \"18:00\"\nto = \"07:30\"\n",
    ),
    (
        "a time without its quotes",
        "[hours]\nstart = 2026-06-15\nfrom = 07:30:00\nto = \"18:00\"\n",
    ),
    (
        "a break without its unit",
        "[hours]\nstart = 2026-06-15\nfrom = \"07:30\"\nto = \"18:00\"\nbreak = \"45\"\n",
    ),
    (
        "a misspelt weekday",
        "[hours]\nstart = 2026-06-15\ndays = \"mon-sta\"\nfrom = \"07:30\"\nto = \"18:00\"\n",
    ),
    (
        "a year far away",
        "[hours]\nstart = 9999-12-30\nfrom = \"07:30\"\nto = \"18:00\"\n",
    ),
    (
        "minutes of a class that no card has",
        "[time]\nper_dent = { dime = \"1.6\", nikel = \"2.1\" }\n",
    ),
    (
        "minutes as a bare decimal",
        "[time]\nper_dent = { dime = 1.6 }\n",
    ),
    (
        "a factor of nothing",
        "[time]\nper_dent = { dime = \"1.6\" }\nmetal = { aluminium = \"0\" }\n",
    ),
    ("no bay", "[site]\nbays = 0\n"),
    ("a bare chance", "[chance]\nabsent_percent = 3.5\n"),
    ("always closed", "[chance]\nweather_percent = \"100\"\n"),
    ("a chance misspelt", "[chance]\nabsense_percent = \"3\"\n"),
    (
        "parts late by less than a day",
        "[chance]\nparts_late_days = \"0.5\"\n",
    ),
    ("a shape of nothing", "[chance]\ngrowth_shape = \"0\"\n"),
    (
        "pay without its unit",
        "[staff]\npay = { dents = \"45\" }\n",
    ),
    (
        "pay for a trade unknown",
        "[staff]\npay = { dent = \"45%\" }\n",
    ),
    (
        "lodging finer than the currency",
        "[staff]\nlodging_night = \"92.005\"\n",
    ),
];

/// Files in `photos/`: where, and what.
const PHOTOS: [(&str, &str, &str); 6] = [
    ("photos of a stock in other letters", "photos/a1/1.jpg", ""),
    ("photos of no car", "photos/Z9/1.jpg", ""),
    ("a photo of another format", "photos/A1/1.heic", ""),
    ("a folder within a car's photos", "photos/A1/left/1.jpg", ""),
    ("a photo beside the folders", "photos/1.jpg", ""),
    ("a misspelt folder of photos", "photo/A1/1.jpg", ""),
];

fn gallery() -> String {
    let mut page = String::from(
        "# What is said of an input\n\nMade by a test (`tests/gallery.rs`): one tiny input each, then the whole message.\n",
    );
    let mut entry = |file: &str, title: &str, text: &str, full: &str| {
        let _ = write!(
            page,
            "\n{title}, in `{file}`:\n\n```\n{text}```\n\n```\n{}```\n",
            said(&[(file, full)])
        );
    };
    for (title, text) in SHEETS {
        entry("counts/lot.csv", title, text, text);
    }
    for (title, text) in LISTS {
        entry("vehicles.csv", title, text, text);
    }
    for (title, text) in AGREED {
        entry("agreed.csv", title, text, text);
    }
    for (title, text) in TERMS {
        entry("storm.toml", title, text, &format!("{STORM}{text}"));
    }
    for (title, path, text) in PHOTOS {
        entry(path, title, text, text);
    }
    for (title, path, text) in CREW {
        let files: Vec<(&str, &str)> = BOOKS
            .iter()
            .copied()
            .filter(|(known, _)| *known != path)
            .chain([(path, text)])
            .collect();
        let _ = write!(
            page,
            "\n{title}, in `{path}`:\n\n```\n{text}```\n\n```\n{}```\n",
            said(&files)
        );
    }
    for (title, path, text) in BILLING {
        let mut files: Vec<(&str, &str)> = BILLING_BESIDE
            .iter()
            .copied()
            .filter(|(known, _)| *known != path)
            .collect();
        let full = format!("{STORM}{text}");
        files.push(match path {
            "storm.toml" => (path, &full),
            _ => (path, text),
        });
        let _ = write!(
            page,
            "\n{title}, in `{path}`:\n\n```\n{text}```\n\n```\n{}```\n",
            said(&files)
        );
    }
    for (title, sample, lot) in LOT {
        let storm = format!("{STORM}{sample}");
        let mut files = LOT_BESIDE.to_vec();
        files.push(("storm.toml", &storm));
        if !lot.is_empty() {
            files.push(("lot.csv", lot));
        }
        let _ = write!(
            page,
            "\n{title}, in `lot.csv` under `storm.toml`:\n\n```\n{lot}{sample}```\n\n```\n{}```\n",
            said(&files)
        );
    }
    page
}

/// A car of 10.00 that was approved and billed.
const BILLING_BESIDE: [(&str, &str); 2] = [
    (
        "agreed.csv",
        "stock,item,amount,by,date\nA1,approved,10.00,Ann,2026-06-20\n",
    ),
    (
        "bills.csv",
        "number,date,due,kind,to,stock,dents,amount\n7,2026-07-01,2026-07-31,bill,Harl Cover,A1,10.00,10.00\n",
    ),
];

/// What was decided, billed and received.
const BILLING: [(&str, &str, &str); 22] = [
    (
        "a yes without its amount",
        "agreed.csv",
        "stock,item,amount,by,date\nA1,approved,,Ann,2026-06-20\n",
    ),
    (
        "a yes without who and when",
        "agreed.csv",
        "stock,item,amount,by,date\nA1,approved,10.00,,\n",
    ),
    (
        "a no with an amount",
        "agreed.csv",
        "stock,item,amount,by,date\nA1,refused,10.00,Ann,2026-06-20\n",
    ),
    (
        "two words on one thing on one day",
        "agreed.csv",
        "stock,item,amount,by,date\nA1,approved,10.00,Ann,2026-06-20\nA1,refused,,Ann,2026-06-20\n",
    ),
    (
        "a yes to a supplement alone",
        "agreed.csv",
        "stock,item,amount,by,date\nA1,approved rail,10.00,Ann,2026-06-20\n",
    ),
    (
        "a yes above the price",
        "agreed.csv",
        "stock,item,amount,by,date\nA1,approved,12.00,Ann,2026-06-20\n",
    ),
    (
        "a yes to lines that are not there",
        "agreed.csv",
        "stock,panel,item,amount,by,date\nA1,,approved,10.00,Ann,2026-06-20\nA1,roof,approved,3.00,Ann,2026-06-20\n",
    ),
    (
        "money for no car",
        "received.csv",
        "date,stock,from,amount\n2026-07-03,a1,,10.00\n",
    ),
    (
        "money from another payer",
        "received.csv",
        "date,stock,from,amount\n2026-07-03,A1,Hall Cover,10.00\n",
    ),
    (
        "the same receipt twice",
        "received.csv",
        "date,stock,from,amount\n2026-07-03,A1,,5.00\n2026-07-03,A1,Harl Cover,5.00\n",
    ),
    (
        "more than was billed",
        "received.csv",
        "date,stock,from,amount\n2026-07-03,A1,,15.00\n",
    ),
    (
        "money before the payer's yes",
        "received.csv",
        "date,stock,from,amount\n2026-06-03,A1,,10.00\n",
    ),
    (
        "more back than came in",
        "received.csv",
        "date,stock,from,amount\n2026-07-03,A1,,-10.00\n",
    ),
    (
        "nothing came in",
        "received.csv",
        "date,stock,from,amount\n2026-07-03,A1,,0\n",
    ),
    (
        "money for a bill that is none",
        "received.csv",
        "date,stock,from,amount,bill\n2026-07-03,,,10.00,8\n",
    ),
    (
        "a car and a bill",
        "received.csv",
        "date,stock,from,amount,bill\n2026-07-03,A1,,10.00,7\n",
    ),
    (
        "a number left out",
        "bills.csv",
        "number,date,due,kind,to,stock,dents,amount\n7,2026-07-01,2026-07-31,bill,Harl Cover,A1,10.00,10.00\n9,2026-07-01,2026-07-31,supplement,Harl Cover,A1,10.00,10.00\n",
    ),
    (
        "a row that is not the sum of its parts",
        "bills.csv",
        "number,date,due,kind,to,stock,dents,amount\n7,2026-07-01,2026-07-31,bill,Harl Cover,A1,10.00,12.00\n",
    ),
    (
        "a bill of another kind and to another payer",
        "bills.csv",
        "number,date,due,kind,to,stock,dents,amount\n7,2026-07-01,2026-07-31,bil,Harl Covr,A1,10.00,10.00\n",
    ),
    (
        "a prefix that ends in a figure",
        "storm.toml",
        "[bills]\nprefix = \"BF26\"\n",
    ),
    (
        "a country that is none",
        "storm.toml",
        "[bills]\ncountry = \"Flatland\"\nper = \"cars\"\ndue_days = 900\n",
    ),
    (
        "pay on something else",
        "storm.toml",
        "[pay]\non = \"recieved\"\n",
    ),
];

/// A lot of three counted cars.
const LOT_BESIDE: [(&str, &str); 2] = [
    (
        "vehicles.csv",
        "stock,body,value\nA1,sedan,9000\nA2,sedan,8000\nA3,suv,\n",
    ),
    (
        "counts/lot.csv",
        "stock,panel,dime\nA1,hood,3\nA2,hood,0\nA3,hood,7\n",
    ),
];

/// How many cars there are in all, and what they are a sample of.
const LOT: [(&str, &str, &str); 13] = [
    (
        "a stratum that is not in it",
        "[sample]\nstrata = \"body\"\n",
        "stratum,cars\nsedans,12\nsuv,4\n",
    ),
    (
        "a stratum twice",
        "[sample]\nstrata = \"body\"\n",
        "stratum,cars\nsedan,12\nsuv,4\nSedan,3\n",
    ),
    (
        "fewer cars than are counted",
        "[sample]\nstrata = \"body\"\n",
        "stratum,cars\nsedan,1\nsuv,4\n",
    ),
    (
        "no number of cars",
        "[sample]\nstrata = \"body\"\n",
        "stratum,cars\nsedan,\nsuv,4.5\n",
    ),
    (
        "more cars than any lot has",
        "[sample]\nstrata = \"body\"\n",
        "stratum,cars\nsedan,12000000\nsuv,99999999999\n",
    ),
    (
        "a row of sums among the strata",
        "[sample]\nstrata = \"body\"\n",
        "stratum,cars\nsedan,12\nsuv,4\ntotal,16\n",
    ),
    (
        "strata without their column",
        "[sample]\npicked = \"every third\"\n",
        "stratum,cars\nsedan,12\nsuv,4\n",
    ),
    (
        "a lot without a row",
        "[sample]\nstrata = \"body\"\n",
        "stratum,cars\n",
    ),
    (
        "a lot without a header",
        "[sample]\nstrata = \"body\"\n",
        "sedan,12\n",
    ),
    (
        "a column that is none",
        "[sample]\nstrata = \"bodies\"\n",
        "",
    ),
    (
        "a helper that is no number",
        "[sample]\nhelper = \"model\"\nhelper_total = \"90000\"\n",
        "",
    ),
    (
        "a helper that not every car has",
        "[sample]\nhelper = \"value\"\n",
        "stratum,cars\nall,12\n",
    ),
    (
        "a helper's total alone",
        "[sample]\nhelper_total = \"90000\"\n",
        "",
    ),
];

/// A crew beside the storm, with the whole car done.
const BOOKS: [(&str, &str); 2] = [
    (
        "crew.csv",
        "name,pay,from,to\nAda,45%,2026-06-15,2026-07-31\nBen,38.00/h,,\n",
    ),
    ("work.csv", "date,stock,person,hours\n2026-06-15,A1,Ada,2\n"),
];

/// The crew's own files: each entry stands in place of the sound one.
const CREW: [(&str, &str, &str); 47] = [
    ("pay without its unit", "crew.csv", "name,pay\nAda,45\n"),
    (
        "pay by another word",
        "crew.csv",
        "name,pay\nAda,38.00 per hour\n",
    ),
    ("two percentages", "crew.csv", "name,pay\nAda,45% + 5%\n"),
    ("more than all", "crew.csv", "name,pay\nAda,145%\n"),
    (
        "a day's pay finer than the currency",
        "crew.csv",
        "name,pay\nAda,350.005/day\n",
    ),
    (
        "a decimal comma in pay",
        "crew.csv",
        "name,pay\nAda,\"38,50/h\"\n",
    ),
    (
        "one name in two spellings",
        "crew.csv",
        "name,pay\nAda,45%\nada ,50%\n",
    ),
    ("a person without pay", "crew.csv", "name,pay\nAda,\n"),
    (
        "an unknown trade",
        "crew.csv",
        "name,trades,pay\nAda,dents; stripp,45%\n",
    ),
    ("no pace at all", "crew.csv", "name,speed,pay\nAda,0,45%\n"),
    (
        "gone before coming",
        "crew.csv",
        "name,from,to,pay\nAda,2026-07-01,2026-06-01,45%\n",
    ),
    (
        "a guarantee below nothing",
        "crew.csv",
        "name,pay,guarantee\nAda,45%,-1\n",
    ),
    (
        "days off in another order",
        "crew.csv",
        "name,pay,off\nAda,45%,4.7.2026; 2026-07-06 to 2026-07-05\n",
    ),
    ("no name", "crew.csv", "name,pay\nAda,45%\n,50%\n"),
    ("no header", "crew.csv", "Ada,45%\n"),
    (
        "an unknown car",
        "work.csv",
        "date,stock,person\n2026-06-15,a1,Ada\n2026-06-15,Z9,Ada\n",
    ),
    (
        "an unknown panel",
        "work.csv",
        "date,stock,panel,person\n2026-06-15,A1,hoodd,Ada\n",
    ),
    (
        "a panel without its side, in the log",
        "work.csv",
        "date,stock,panel,person\n2026-06-15,A1,door,Ada\n",
    ),
    (
        "an unknown person",
        "work.csv",
        "date,stock,person\n2026-06-15,A1,Bem\n",
    ),
    ("nobody", "work.csv", "date,stock,person\n2026-06-15,A1,\n"),
    (
        "an unknown trade, in the log",
        "work.csv",
        "date,stock,person,trade\n2026-06-15,A1,Ada,polish\n",
    ),
    (
        "a day in another order",
        "work.csv",
        "date,stock,person\n06/15/2026,A1,Ada\n05/06/2026,A1,Ada\n",
    ),
    ("no day", "work.csv", "date,stock,person\n,A1,Ada\n"),
    (
        "hours by the clock",
        "work.csv",
        "date,stock,person,hours\n2026-06-15,A1,Ada,7:30\n",
    ),
    (
        "more hours than a day has",
        "work.csv",
        "date,stock,person,hours\n2026-06-15,A1,Ada,25\n",
    ),
    (
        "more hours than a day has, together",
        "work.csv",
        "date,stock,person,hours\n2026-06-15,A1,Ada,13\n2026-06-15,A1,Ada,12\n",
    ),
    (
        "a part above the whole",
        "work.csv",
        "date,stock,person,part\n2026-06-15,A1,Ada,3/2\n",
    ),
    (
        "a part without its sign",
        "work.csv",
        "date,stock,person,part\n2026-06-15,A1,Ada,0.5\n2026-06-15,A1,Ada,50\n",
    ),
    (
        "parts above the whole, together",
        "work.csv",
        "date,stock,panel,person,part\n2026-06-15,A1,hood,Ada,60%\n2026-06-15,A1,hood,Ben,50%\n",
    ),
    (
        "parts of almost the whole",
        "work.csv",
        "date,stock,panel,person,hours,part\n2026-06-15,A1,hood,Ada,1,66.6%\n2026-06-15,A1,hood,Ben,1,33.3%\n",
    ),
    (
        "hours on some rows",
        "work.csv",
        "date,stock,panel,person,hours\n2026-06-15,A1,hood,Ben,2\n2026-06-15,A1,hood,Ada,\n",
    ),
    (
        "no hours of who is paid by the hour",
        "work.csv",
        "date,stock,person\n2026-06-15,A1,Ben\n",
    ),
    (
        "a redo of what nobody did",
        "work.csv",
        "date,stock,panel,person,part,redo\n2026-06-15,A1,hood,Ada,50%,yes\n",
    ),
    (
        "a redo before the work",
        "work.csv",
        "date,stock,panel,person,part,redo\n2026-06-16,A1,hood,Ada,,\n2026-06-15,A1,hood,Ada,50%,yes\n",
    ),
    (
        "a redo of nobody knows how much",
        "work.csv",
        "date,stock,panel,person,redo\n2026-06-15,A1,hood,Ada,\n2026-06-16,A1,hood,Ada,yes\n",
    ),
    (
        "work on a panel that is not counted",
        "work.csv",
        "date,stock,panel,person\n2026-06-15,A1,hood,Ada\n2026-06-15,A1,roof,Ada\n",
    ),
    (
        "strip on a car without removal",
        "work.csv",
        "date,stock,person,trade\n2026-06-15,A1,Ada,\n2026-06-15,A1,Ada,strip\n",
    ),
    (
        "a panel beside strip",
        "work.csv",
        "date,stock,panel,person,trade\n2026-06-15,A1,,Ada,\n2026-06-15,A1,hood,Ada,finish\n",
    ),
    (
        "a priced panel that nobody logged",
        "work.csv",
        "date,stock,person,trade,hours\n2026-06-15,,Ben,other,1\n",
    ),
    (
        "a row twice",
        "work.csv",
        "date,stock,person\n2026-06-15,A1,Ada\n2026-06-15,A1,Ada\n",
    ),
    (
        "a day on which the person is not here",
        "work.csv",
        "date,stock,person\n2026-06-01,A1,Ada\n",
    ),
    (
        "nothing left for a percentage",
        "work.csv",
        "date,stock,panel,person,hours,part\n2026-06-15,A1,hood,Ben,1,100%\n2026-06-15,A1,hood,Ada,1,\n",
    ),
    (
        "an unknown kind of payment",
        "paid.csv",
        "date,person,kind,amount\n2026-06-15,Ada,advanse,10\n",
    ),
    (
        "a payment below nothing",
        "paid.csv",
        "date,person,kind,amount\n2026-06-15,Ada,advance,-10\n",
    ),
    (
        "a payment to a stranger",
        "paid.csv",
        "date,person,kind,amount\n2026-06-15,Adda,advance,10\n",
    ),
    (
        "a payment of an unknown amount",
        "paid.csv",
        "date,person,kind,amount\n2026-06-15,Ada,advance,\n",
    ),
    (
        "a payment twice",
        "paid.csv",
        "date,person,kind,amount\n2026-06-15,Ada,advance,10\n2026-06-15,Ada,advance,10\n",
    ),
];

#[test]
fn the_gallery_of_messages_is_what_is_said() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/gallery.md");
    let made = gallery();
    if std::env::var_os("HAILYARD_GALLERY").is_some() {
        std::fs::write(path, &made).expect("written");
    }
    let page = std::fs::read_to_string(path).expect("the page");
    assert!(
        page == made,
        "tests/gallery.md is stale: HAILYARD_GALLERY=write cargo test gallery"
    );
    // No input of it is without a word, and every error says what was expected.
    for said in made.split("```\n\n```\n").skip(1) {
        let first = said.lines().next().expect("a line");
        assert!(
            first.starts_with("error: ") || first.starts_with("caution: "),
            "{said}"
        );
        assert!(first.contains("; expected "), "{first}");
    }
}
