//! Hashing the keeper's passphrase with Argon2id (RFC 9106), one at a time and away from the
//! threads that answer.
//! Parameters: 19 MiB, two passes, one lane (OWASP Password Storage Cheat Sheet; memory).
//! Not here: pages.

use argon2::password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash};
use argon2::{Algorithm, Argon2, Params, Version};

use tokio::sync::SemaphorePermit;

use crate::web::App;
use crate::web::access::way_in::fill;
use crate::web::error::PageError;

const MEMORY_KIB: u32 = 19 * 1024;
const PASSES: u32 = 2;
const LANES: u32 = 1;

/// NIST SP 800-63B (2017), 5.1.1.2: at least eight characters, and no rules on which (memory).
const SHORTEST: usize = 8;
const LONGEST: usize = 200;

/// Whether a passphrase is one that can be set; else what is wrong with it.
pub fn fits(passphrase: &str) -> Result<(), String> {
    match passphrase.chars().count() {
        length if length < SHORTEST => Err(format!(
            "A passphrase has at least {SHORTEST} letters. Four words are good."
        )),
        length if length > LONGEST => Err(format!("A passphrase has at most {LONGEST} letters.")),
        _ => Ok(()),
    }
}

/// The hash of a passphrase with a salt of its own, in the PHC string format.
pub fn hash(passphrase: &str) -> Result<String, PageError> {
    let mut salt = [0; 16];
    fill(&mut salt)?;
    let hashed = argon2()?.hash_password_with_salt(passphrase.as_bytes(), &salt);
    hashed.map(|hash| hash.to_string()).map_err(broken)
}

/// Whether a passphrase is the one that was hashed.
pub fn matches(passphrase: &str, hashed: &str) -> Result<bool, PageError> {
    let hashed = PasswordHash::new(hashed).map_err(broken)?;
    Ok(argon2()?
        .verify_password(passphrase.as_bytes(), &hashed)
        .is_ok())
}

/// The one turn to try or set the passphrase. Whoever has it is alone with the count of wrong tries
/// and with what is set, so that many tries at once wait as one after the other do.
pub struct Turn<'a> {
    app: &'a App,
    _permit: SemaphorePermit<'a>,
}

impl<'a> Turn<'a> {
    pub async fn wait_for(app: &'a App) -> Result<Self, PageError> {
        let permit = app.doorkeeper.hashing().acquire().await;
        Ok(Self {
            app,
            _permit: permit.map_err(|_| PageError::Broken)?,
        })
    }

    /// Whether a passphrase is the keeper's; none is as long as none was set.
    pub async fn is_the_keepers(&self, passphrase: &str) -> Result<bool, PageError> {
        let Some(hashed) = self.app.store.keys().passphrase.clone() else {
            return Ok(false);
        };
        let passphrase = passphrase.to_owned();
        aside(move || matches(&passphrase, &hashed)).await
    }

    /// Sets a new passphrase.
    pub async fn set(&self, passphrase: &str) -> Result<(), PageError> {
        let passphrase = passphrase.to_owned();
        let hash = aside(move || hash(&passphrase)).await?;
        let now = self.app.clock.now();
        Ok(self.app.store.set_passphrase(hash, now).await?)
    }
}

/// Away from the threads that answer.
async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, PageError> + Send + 'static,
) -> Result<T, PageError> {
    tokio::task::spawn_blocking(work)
        .await
        .map_err(|_| PageError::Broken)?
}

fn argon2() -> Result<Argon2<'static>, PageError> {
    let params = Params::new(MEMORY_KIB, PASSES, LANES, None).map_err(broken)?;
    Ok(Argon2::new(Algorithm::Argon2id, Version::V0x13, params))
}

fn broken(error: impl std::fmt::Debug) -> PageError {
    tracing::error!(error = ?error, "the passphrase can't be hashed");
    PageError::Broken
}
