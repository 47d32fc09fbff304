//! Numbers written in signs that a pencil can write and a stranger can copy: codes of cards and of
//! phones. The alphabet is Crockford's base 32 (memory: D. Crockford, "Base 32").
//! Not here: what the codes stand for.

/// Digits and letters without I, L, O and U, which a pencil writes like others.
const SIGNS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// What one sign holds.
pub const BITS: u32 = 5;

/// Why a text is no number of so many signs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotSigns {
    /// More or fewer signs than there should be.
    Length,
    /// A sign that never stands in a code.
    Sign(char),
}

/// The last bits of a number as so many signs.
///
/// ```
/// use endpost::science::signs::{read, written};
/// assert_eq!(written(1, 4), "0001");
/// assert_eq!(read("z-zz", 3), Ok(32_767));
/// ```
pub fn written(number: u64, length: usize) -> String {
    let places = (0..length as u32).rev();
    let sign = |place: u32| SIGNS[(number >> (BITS * place)) as usize % SIGNS.len()];
    places.map(|place| char::from(sign(place))).collect()
}

/// Reads what somebody typed: small letters, blanks and hyphens do not matter, O is read as 0, I
/// and L as 1. At most twelve signs.
pub fn read(typed: &str, length: usize) -> Result<u64, NotSigns> {
    let signs: Vec<char> = typed
        .chars()
        .filter(|sign| !sign.is_whitespace() && !matches!(sign, '-' | '\u{2013}' | '.'))
        .collect();
    if signs.len() != length {
        return Err(NotSigns::Length);
    }
    signs.into_iter().try_fold(0, |number, sign| {
        let value = value_of(sign).ok_or(NotSigns::Sign(sign))?;
        Ok(number << BITS | value)
    })
}

fn value_of(sign: char) -> Option<u64> {
    let sign = match sign.to_ascii_uppercase() {
        'O' => '0',
        'I' | 'L' => '1',
        sign => sign,
    };
    let place = SIGNS.iter().position(|known| char::from(*known) == sign)?;
    u64::try_from(place).ok()
}
