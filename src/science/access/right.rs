//! Roles, the rules of addresses, and which of them lets whom in.
//! Not here: how somebody shows who they are.

use serde::{Deserialize, Serialize};

/// What a phone or computer was let in for. Each may do what those before it may.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// A helper who may look.
    Looker,
    /// A helper who may also enter, and correct what they entered for a day.
    Helper,
    /// The keeper.
    Keeper,
}

impl Role {
    pub const ALL: [Role; 3] = [Self::Looker, Self::Helper, Self::Keeper];

    /// The word it is kept under.
    pub fn word(self) -> &'static str {
        match self {
            Self::Looker => "looker",
            Self::Helper => "helper",
            Self::Keeper => "keeper",
        }
    }

    /// The role that a word stands for.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.word() == word)
    }
}

/// Who an address is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    /// Everybody on the network: the ways in, help on them, what lies on the asker's own phone.
    Anyone,
    /// A page that a link can share: its guests, and all who may look.
    Shared,
    /// Whoever may look.
    Look,
    /// Whoever may enter.
    Enter,
    /// The keeper.
    Keeper,
    /// The keeper, where nobody on the network can listen in: at the farm computer itself.
    House,
}

/// What a shared page shows besides what it is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Shows {
    pub names: bool,
    pub costs: bool,
}

/// How somebody stands to the house, as far as they have shown it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Standing {
    #[default]
    Stranger,
    /// Came by a link that shares the page asked for.
    Guest(Shows),
    In(Role),
}

impl Rule {
    /// Whether somebody is let in. `at_the_house` is whether nobody on the network can listen in.
    ///
    /// ```
    /// use endpost::science::access::{Role, Rule, Standing};
    /// let helper = Standing::In(Role::Helper);
    /// assert!(Rule::Enter.lets_in(helper, false));
    /// assert!(!Rule::Keeper.lets_in(helper, true));
    /// assert!(!Rule::House.lets_in(Standing::In(Role::Keeper), false));
    /// ```
    pub fn lets_in(self, who: Standing, at_the_house: bool) -> bool {
        let least = match (self, who) {
            (Self::Anyone, _) | (Self::Shared, Standing::Guest(_)) => return true,
            (Self::Shared | Self::Look, _) => Role::Looker,
            (Self::Enter, _) => Role::Helper,
            (Self::Keeper, _) => Role::Keeper,
            (Self::House, _) if at_the_house => Role::Keeper,
            (Self::House, _) => return false,
        };
        matches!(who, Standing::In(role) if role >= least)
    }
}
