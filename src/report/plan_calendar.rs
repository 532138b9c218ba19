//! A plan as an iCalendar file (RFC 5545): floating local times, one event for
//! each part of a day that a task takes.

use super::plan_report::{PlanReport, TaskPart};
use icalendar::{Calendar, Component, Event, Property};
use jiff::civil::{Date, DateTime};

/// The calendar of everyone, or of one person.
///
/// Its bytes are the same at any time and on any machine: the stamp is the
/// first day of the plan, and an event is known by its car, stage, panel and part.
#[must_use]
pub fn plan_calendar(report: &PlanReport<'_>, only: Option<usize>) -> String {
    let properties = [
        ("VERSION", "2.0"),
        ("PRODID", "-//hailyard//plan//EN"),
        ("CALSCALE", "GREGORIAN"),
        ("METHOD", "PUBLISH"),
    ];
    let mut calendar = Calendar {
        properties: properties
            .into_iter()
            .map(|(key, value)| Property::new(key, value))
            .collect(),
        ..Calendar::default()
    };
    let storm = super::folder_name(&report.storm.name);
    let stamp = stamp(report.jobs.hours.start());
    for part in report.parts(only) {
        calendar.push(event(report, &part, &storm, &stamp, only.is_none()));
    }
    calendar.to_string()
}

fn event(report: &PlanReport<'_>, part: &TaskPart, storm: &str, stamp: &str, named: bool) -> Event {
    let stock = report.stock(part.job);
    let vehicle = &report.storm.cars[report.job(part.job).car].vehicle;
    let panel = part.panel.map_or("", |panel| panel.word());
    let work = format!("{} {panel}", part.stage.word());
    let mut summary = format!("{stock} {}", work.trim());
    if part.of > 1 {
        summary.push_str(&format!(" (part {} of {})", part.number, part.of));
    }
    if named {
        summary = format!("{}: {summary}", report.people[part.person].name);
    }
    let mut said: Vec<String> = Vec::new();
    let car: Vec<&str> = [&vehicle.make, &vehicle.model, &vehicle.colour]
        .into_iter()
        .map(String::as_str)
        .filter(|word| !word.is_empty())
        .collect();
    if !car.is_empty() {
        said.push(car.join(" "));
    }
    if !vehicle.row.is_empty() {
        said.push(format!("row {}", vehicle.row));
    }
    let uid = format!(
        "{}-{}-{}-{}@{storm}.hailyard",
        token(stock),
        part.stage.word(),
        if panel.is_empty() { "car" } else { panel },
        part.number
    );
    let mut event = Event::new();
    event.uid(&uid);
    event.add_property("DTSTAMP", stamp);
    event.add_property("DTSTART", local(part.part.begins()));
    event.add_property("DTEND", local(part.part.ends()));
    event.summary(&summary);
    if !said.is_empty() {
        event.description(&said.join(", "));
    }
    event.done()
}

/// A floating local time: no zone, so it stays 07:30 wherever it is read.
fn local(moment: DateTime) -> String {
    moment.strftime("%Y%m%dT%H%M%S").to_string()
}

fn stamp(day: Date) -> String {
    day.strftime("%Y%m%dT000000Z").to_string()
}

/// A stock as letters, digits and `-`, distinct for distinct stocks.
fn token(stock: &str) -> String {
    let mut token = String::new();
    for byte in stock.bytes() {
        if byte.is_ascii_alphanumeric() || byte == b'-' {
            token.push(char::from(byte));
        } else {
            token.push_str(&format!("_{byte:02x}"));
        }
    }
    token
}
