//! A small storm that is to be planned, made by a test.

use crate::builder::{Folder, OneCar, hailyard, read_csv};
use hailyard::cli::Exit;
use serde_json::Value;
use tempfile::TempDir;

/// A storm whose minutes are easy to see: no set-up, a dime takes a minute,
/// taking off and putting back half an hour each for one hour charged.
pub struct Site {
    pub hours: String,
    pub time: String,
    pub site: String,
    pub crew: String,
    pub vehicles: Option<String>,
    pub counts: String,
    pub work: Option<String>,
}

impl Site {
    /// One technician from 08:00 to 16:00 without a break, Monday to Friday.
    pub fn new(counts: &str) -> Site {
        Site {
            hours: "start = 2026-06-15\ndays = \"mon-fri\"\nfrom = \"08:00\"\nto = \"16:00\"\n"
                .to_owned(),
            time: "per_dent = { dime = 1, nickel = 2 }\n".to_owned(),
            site: String::new(),
            crew: "name,trades,speed\nAda,dents; strip; finish,1\n".to_owned(),
            vehicles: None,
            counts: counts.to_owned(),
            work: None,
        }
    }

    pub fn hours(mut self, more: &str) -> Site {
        self.hours.push_str(more);
        self.hours.push('\n');
        self
    }

    pub fn time(mut self, more: &str) -> Site {
        self.time.push_str(more);
        self.time.push('\n');
        self
    }

    pub fn site(mut self, more: &str) -> Site {
        self.site.push_str(more);
        self.site.push('\n');
        self
    }

    pub fn crew(mut self, list: &str) -> Site {
        self.crew = list.to_owned();
        self
    }

    pub fn vehicles(mut self, list: &str) -> Site {
        self.vehicles = Some(list.to_owned());
        self
    }

    pub fn work(mut self, log: &str) -> Site {
        self.work = Some(log.to_owned());
        self
    }

    /// The storm's folder.
    pub fn folder(&self) -> Folder {
        let mut storm = OneCar::new(&self.counts)
            .card("[[removal]]\ncode = \"trim\"\nhours = \"1\"\nonce_per = \"panel\"\n")
            .terms(&format!(
                "[hours]\n{}[time]\n{}[site]\n{}",
                self.hours, self.time, self.site
            ));
        storm.vehicles.clone_from(&self.vehicles);
        let mut folder = storm.folder().file("crew.csv", &self.crew);
        if let Some(log) = &self.work {
            folder = folder.file("work.csv", log);
        }
        folder
    }

    /// `plan --json`, which must go well.
    #[track_caller]
    pub fn json(&self, more: &[&str]) -> Value {
        let folder = self.folder();
        let ran = hailyard(&[&["plan", &folder.arg(), "--json"], more].concat());
        assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
        serde_json::from_str(&ran.out).expect("JSON")
    }

    /// plan.csv's rows as `date from to person stock stage panel`, by time.
    #[track_caller]
    pub fn rows(&self, more: &[&str]) -> Vec<String> {
        self.table(more)
            .iter()
            .map(|row| {
                let at = [0, 1, 2, 3, 4, 6, 7].map(|at| row[at].as_str());
                at.join(" ").trim_end().to_owned()
            })
            .collect()
    }

    /// plan.csv without its header.
    #[track_caller]
    pub fn table(&self, more: &[&str]) -> Vec<Vec<String>> {
        let (folder, out) = (self.folder(), TempDir::new().expect("a folder"));
        let out_arg = out.path().to_str().expect("UTF-8");
        let ran = hailyard(&[&["plan", &folder.arg(), "--out", out_arg], more].concat());
        assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
        read_csv(&out.path().join("plan.csv")).split_off(1)
    }
}
