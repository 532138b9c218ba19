//! The hours of a site: clock to working minutes and back, by hand and against
//! a count of single minutes.

use hailyard::crew::{Part, SiteHours};
use jiff::ToSpan;
use jiff::civil::Date;

fn day(text: &str) -> Date {
    text.parse().expect("a day")
}

/// Monday to Saturday from 07:30 to 18:00 with 45 minutes from 12:22, which is
/// the middle of the day: (07:30 + 18:00 - 0:45) / 2 = 12:22 and a half.
fn site(closed: &[&str]) -> SiteHours {
    SiteHours::new(
        day("2026-06-22"),
        [true, true, true, true, true, true, false],
        (450, 1080),
        (742, 787),
        closed.iter().map(|text| day(text)).collect(),
    )
    .expect("hours")
}

/// 10:30 h less 45 min are 585 minutes. 292 of them lie before the break.
#[test]
fn minutes_and_the_clock_are_the_same_thing() {
    let hours = site(&["2026-07-04"]);
    assert_eq!(hours.day_minutes(), 585);
    let begins = |minute| hours.begins(minute).to_string();
    let ends = |minute| hours.ends(minute).to_string();
    assert_eq!(begins(0), "2026-06-22T07:30:00");
    assert_eq!(begins(291), "2026-06-22T12:21:00");
    // The 292nd minute is the first behind the break, and what ends with the
    // morning ends before it.
    assert_eq!(begins(292), "2026-06-22T13:07:00");
    assert_eq!(ends(292), "2026-06-22T12:22:00");
    assert_eq!(ends(585), "2026-06-22T18:00:00");
    assert_eq!(begins(585), "2026-06-23T07:30:00");
    // Saturday is the sixth day; Sunday is none; Saturday the 4th is closed.
    assert_eq!(begins(5 * 585), "2026-06-27T07:30:00");
    assert_eq!(begins(6 * 585), "2026-06-29T07:30:00");
    assert_eq!(begins(11 * 585), "2026-07-06T07:30:00");
    // A time within the break, before and after the day, on a Sunday.
    let at = |text: &str| hours.at(text.parse().expect("a time"));
    assert_eq!(at("2026-06-22T12:40:00"), 292);
    assert_eq!(at("2026-06-22T06:00:00"), 0);
    assert_eq!(at("2026-06-22T23:00:00"), 585);
    assert_eq!(at("2026-06-28T12:00:00"), 6 * 585);
    assert_eq!(hours.opening(day("2026-06-28")), 6 * 585);
    assert_eq!(hours.closing(day("2026-06-28")), 6 * 585);
    assert_eq!(hours.closing(day("2026-06-27")), 6 * 585);
    // Before the first day minutes are below 0.
    assert_eq!(hours.closing(day("2026-06-20")), 0);
    assert_eq!(hours.opening(day("2026-06-20")), -585);
}

#[test]
fn a_span_is_parted_by_break_night_and_days_away() {
    let hours = site(&[]);
    let part = |text: &str, from, to| Part {
        day: day(text),
        from,
        to,
    };
    // 285 to 600: seven minutes to the break, the afternoon, 15 of the next day.
    assert_eq!(
        hours.parts(285, 600, |_| true),
        [
            part("2026-06-22", 735, 742),
            part("2026-06-22", 787, 1080),
            part("2026-06-23", 450, 465),
        ]
    );
    // Away on the second day: what goes on does so on the third.
    assert_eq!(
        hours.parts(500, 2 * 585 + 10, |index| index != 1),
        [part("2026-06-22", 995, 1080), part("2026-06-24", 450, 460),]
    );
}

/// Every working day of three years, against a plain walk day by day.
#[test]
fn days_by_index_are_those_of_a_walk() {
    for closed in [
        &[][..],
        &["2026-07-04", "2026-07-05", "2026-12-25", "2026-06-22"],
    ] {
        let hours = site(closed);
        let open = |date: Date| {
            date.weekday() != jiff::civil::Weekday::Sunday
                && !closed.iter().any(|text| day(text) == date)
        };
        let mut date = day("2026-06-22");
        let mut index = 0;
        for _ in 0..1100 {
            assert_eq!(hours.is_open(date), open(date), "{date}");
            assert_eq!(hours.day_index(date), index, "{date}");
            if open(date) {
                assert_eq!(hours.date(index), date);
                index += 1;
            }
            date = date.checked_add(1.days()).expect("a day");
        }
        let later = hours.from_day(day("2026-07-05"));
        assert_eq!(later.start(), day("2026-07-06"));
        assert_eq!(
            later.date(-1),
            hours.date(hours.day_index(day("2026-07-06")) - 1)
        );
    }
}

/// A week without a working day, a day that ends before it begins, a break
/// that leaves nothing.
#[test]
fn hours_that_are_none_are_refused() {
    let make = |weekdays, day_of, pause| {
        SiteHours::new(day("2026-06-22"), weekdays, day_of, pause, Vec::new()).is_some()
    };
    let week = [true; 7];
    assert!(make(week, (0, 1440), (0, 0)));
    assert!(!make([false; 7], (480, 960), (700, 700)));
    assert!(!make(week, (960, 480), (700, 700)));
    assert!(!make(week, (480, 960), (400, 500)));
    assert!(!make(week, (480, 960), (480, 960)));
    assert!(!make(week, (480, 960), (900, 970)));
}
