//! What storm.toml says of pay: `[[share]]` and `[pay]`.

use super::share::Share;

/// Who bears a redo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RedoFrom {
    /// The first person's part shrinks.
    #[default]
    Charge,
    /// The house pays it; the first person keeps all.
    House,
}

/// When what was earned is to be paid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PayableOn {
    /// Once the work is done.
    #[default]
    Work,
    /// As money comes in for the car.
    Received,
}

/// How statements are parted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PayPeriod {
    /// Monday to Sunday.
    #[default]
    Week,
    /// The storm as one.
    Storm,
}

/// The terms of pay.
#[derive(Debug, Clone)]
pub struct PayTerms {
    /// Off the top, in their order.
    pub shares: Vec<Share>,
    /// Who bears a redo.
    pub redo: RedoFrom,
    /// How statements are parted.
    pub period: PayPeriod,
    /// Who does the referred panels.
    pub conventional: String,
    /// When what was earned is to be paid out.
    pub on: PayableOn,
    /// The half-time premium of 29 CFR 778.111, on request only.
    pub overtime: bool,
}

impl Default for PayTerms {
    fn default() -> PayTerms {
        PayTerms {
            shares: Vec::new(),
            redo: RedoFrom::default(),
            period: PayPeriod::default(),
            conventional: "conventional".to_owned(),
            on: PayableOn::default(),
            overtime: false,
        }
    }
}
