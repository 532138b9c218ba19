//! What storm.toml's `[bills]` says.

/// What stands together on one bill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum BilledTogether {
    /// A bill for every car
    #[default]
    Car,
    /// A bill for every payer, with its cars; an owner's is always a car's own
    Payer,
}

/// How a structured bill names amounts without a tax (UNTDID 5305).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Untaxed {
    /// Exempt from tax.
    #[default]
    Exempt,
    /// Taxed at a rate of zero.
    ZeroRated,
    /// Not subject to the tax.
    OutOfScope,
}

impl Untaxed {
    /// The code of the category.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Untaxed::Exempt => "E",
            Untaxed::ZeroRated => "Z",
            Untaxed::OutOfScope => "O",
        }
    }
}

/// How cars are billed.
#[derive(Debug, Clone)]
pub struct BillTerms {
    /// What stands in front of a number's figures.
    pub prefix: String,
    /// The figures of the first bill.
    pub first: u64,
    /// What stands together.
    pub per: BilledTogether,
    /// Days until a bill is due.
    pub due_days: u32,
    /// How to pay, in words.
    pub pay_to: String,
    /// The account to pay into, for structured bills.
    pub account: String,
    /// The sender's country by ISO 3166-1.
    pub country: String,
    /// The number under which the sender is registered for taxes.
    pub tax_id: String,
    /// What amounts without a tax are.
    pub untaxed: Untaxed,
    /// Why they are.
    pub untaxed_reason: String,
}

impl Default for BillTerms {
    fn default() -> BillTerms {
        BillTerms {
            prefix: String::new(),
            first: 1,
            per: BilledTogether::default(),
            due_days: 30,
            pay_to: String::new(),
            account: String::new(),
            country: String::new(),
            tax_id: String::new(),
            untaxed: Untaxed::default(),
            untaxed_reason: "not taxed by the agreed terms".to_owned(),
        }
    }
}
