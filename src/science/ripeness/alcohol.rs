//! Potential alcohol: what the sugar could come to, by a rule that names itself.
//! An estimate, never a result. No density here.

use crate::science::sources::Work;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// A rule for potential alcohol.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Rule {
    /// Linear fit of the European must table.
    TableFit,
    /// A plain factor, in hundredths: 55 to 59.
    Factor(u8),
}

impl Default for Rule {
    /// 0.57 stays within 0.5 % vol of the table from 15 to 24 °Brix.
    fn default() -> Self {
        Rule::Factor(57)
    }
}

/// A name that is no rule.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("The rule must be table-fit or factor-0.55 to factor-0.59, not {0}.")]
pub struct UnknownRule(pub String);

impl Rule {
    pub const ALL: [Rule; 6] = [
        Rule::TableFit,
        Rule::Factor(55),
        Rule::Factor(56),
        Rule::Factor(57),
        Rule::Factor(58),
        Rule::Factor(59),
    ];

    /// Potential alcohol of juice of `brix`, in % vol.
    ///
    /// `table-fit`: 0.6757·B − 2.0839, valid 15 to 25 °Brix. `factor-0.57`: 0.57·B, valid 0 to 40;
    /// so too for the other factors. `None` outside. The rules differ by about 0.8 % vol at
    /// 20 °Brix. Sources: European must table by its published fit; leaflets and manuals for the
    /// factors, 0.59 from memory.
    ///
    /// ```
    /// use endpost::science::ripeness::alcohol::Rule;
    /// assert!((Rule::TableFit.percent(24.2).unwrap() - 14.27).abs() < 0.005);
    /// assert_eq!(Rule::TableFit.percent(14.9), None);
    /// ```
    pub fn percent(self, brix: f64) -> Option<f64> {
        let (low, high) = self.range();
        if !(low..=high).contains(&brix) {
            return None;
        }
        Some(match self {
            Rule::TableFit => 0.6757 * brix - 2.0839,
            Rule::Factor(hundredths) => f64::from(hundredths) / 100.0 * brix,
        })
    }

    /// The °Brix between which the rule holds.
    pub fn range(self) -> (f64, f64) {
        match self {
            Rule::TableFit => (15.0, 25.0),
            Rule::Factor(_) => (0.0, 40.0),
        }
    }

    /// Where the rule comes from.
    pub fn source(self) -> Work {
        match self {
            Rule::TableFit => Work::EuropeanMustTable,
            Rule::Factor(_) => Work::PortugueseLeaflet,
        }
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Rule::TableFit => out.write_str("table-fit"),
            Rule::Factor(hundredths) => write!(out, "factor-0.{hundredths}"),
        }
    }
}

impl FromStr for Rule {
    type Err = UnknownRule;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Rule::ALL
            .into_iter()
            .find(|rule| rule.to_string() == text)
            .ok_or_else(|| UnknownRule(text.to_owned()))
    }
}

impl TryFrom<String> for Rule {
    type Error = UnknownRule;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        text.parse()
    }
}

impl From<Rule> for String {
    fn from(rule: Rule) -> Self {
        rule.to_string()
    }
}
