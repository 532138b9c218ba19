//! plan.ics, read back by another library (`calcard`; `icalendar` wrote it).

use super::Site;
use crate::builder::{hailyard, read_csv};
use calcard::icalendar::{ICalendar, ICalendarComponent, ICalendarProperty, ICalendarValue};
use hailyard::cli::Exit;
use std::collections::BTreeSet;
use tempfile::TempDir;

fn text<'a>(event: &'a ICalendarComponent, name: &ICalendarProperty) -> &'a str {
    let entry = event.property(name).expect("the property");
    entry.values[0].as_text().expect("a text")
}

/// A floating time as `2026-06-15 08:00`; one with a zone fails.
fn local(event: &ICalendarComponent, name: &ICalendarProperty) -> String {
    let entry = event.property(name).expect("the property");
    assert!(entry.params.is_empty(), "no TZID");
    let ICalendarValue::PartialDateTime(at) = &entry.values[0] else {
        panic!("no time: {:?}", entry.values);
    };
    assert_eq!((at.tz_hour, at.tz_minute, at.second), (None, None, Some(0)));
    format!(
        "{:04}-{:02}-{:02} {:02}:{:02}",
        at.year.expect("a year"),
        at.month.expect("a month"),
        at.day.expect("a day"),
        at.hour.expect("an hour"),
        at.minute.expect("a minute")
    )
}

/// Every row of plan.csv is one event, with its own id, at its local time; the
/// stock that would break a line or an id is in it as it is.
#[test]
fn every_part_of_a_task_is_one_event() {
    let counts =
        "stock,panel,dime,remove\n\"A,1; \u{fc}\",hood,700,trim\nb\\n2,roof,30,\nB 2,roof,30,\n";
    let vehicles = "stock,make,row\n\"A,1; \u{fc}\",Velmont; Ellory,\"1,2\"\nb\\n2,,\nB 2,,\n";
    let site = Site::new(counts)
        .vehicles(vehicles)
        .hours("break = \"30 min\"")
        .crew("name,trades,speed,off\nAda,dents; strip,1,2026-06-16\nBo,finish; strip,1,\n")
        .time("finish_per_car = 20");
    let (folder, out) = (site.folder(), TempDir::new().expect("a folder"));
    let arg = out.path().to_str().expect("UTF-8");
    let ran = hailyard(&["plan", &folder.arg(), "--out", arg]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let rows = read_csv(&out.path().join("plan.csv")).split_off(1);
    let written = std::fs::read_to_string(out.path().join("plan.ics")).expect("the file");
    // RFC 5545, 3.1: lines end in CRLF and have at most 75 octets.
    assert!(
        written
            .split("\r\n")
            .all(|line| line.len() <= 75 && !line.contains('\n'))
    );
    let calendar = ICalendar::parse(&written).expect("a calendar");
    let events = &calendar.components[1..];
    let mut ids = BTreeSet::new();
    let mut found: Vec<[String; 3]> = events
        .iter()
        .map(|event| {
            assert!(ids.insert(text(event, &ICalendarProperty::Uid).to_owned()));
            [
                local(event, &ICalendarProperty::Dtstart),
                local(event, &ICalendarProperty::Dtend),
                text(event, &ICalendarProperty::Summary).to_owned(),
            ]
        })
        .collect();
    let mut wanted: Vec<[String; 3]> = rows
        .iter()
        .map(|row| {
            let part = if row[10] == "1" {
                String::new()
            } else {
                format!(" (part {} of {})", row[9], row[10])
            };
            let panel = if row[7].is_empty() {
                String::new()
            } else {
                format!(" {}", row[7])
            };
            [
                format!("{} {}", row[0], row[1]),
                format!("{} {}", row[0], row[2]),
                format!("{}: {} {}{panel}{part}", row[3], row[4], row[6]),
            ]
        })
        .collect();
    found.sort();
    wanted.sort();
    assert_eq!(found, wanted);
    assert!(rows.iter().any(|row| row[10] != "1"), "some task goes on");
    // The stamp is the plan's own day, so the bytes are the same at any time.
    assert!(written.contains("DTSTAMP:20260615T000000Z\r\n"));
    let again = TempDir::new().expect("a folder");
    hailyard(&[
        "plan",
        &folder.arg(),
        "--out",
        again.path().to_str().expect("UTF-8"),
    ]);
    let second = std::fs::read_to_string(again.path().join("plan.ics")).expect("the file");
    assert_eq!(written, second);
    // Everyone's own calendar holds their rows.
    let own = std::fs::read_to_string(out.path().join("work-lists/Bo.ics")).expect("Bo's");
    let own = ICalendar::parse(&own).expect("a calendar");
    let mine = rows.iter().filter(|row| row[3] == "Bo").count();
    assert_eq!(own.components.len() - 1, mine);
}
