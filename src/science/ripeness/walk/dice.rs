//! The dice of a walk: the same seed gives the same throws on every machine.
//! Not here: what is drawn with them (`draw`).

/// SplitMix64, the generator of Steele, Lea and Flood (2014).
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next throw: 64 bits.
    ///
    /// ```
    /// use endpost::science::ripeness::walk::dice::Dice;
    /// assert_eq!(Dice::new(1234567).throw(), 6457827717110365317);
    /// ```
    pub fn throw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// A whole number below `sides`, each as likely as the others but for one part in 2³²; 0 where
    /// there are no sides.
    pub fn below(&mut self, sides: u32) -> u32 {
        // The upper 32 bits of a product of 32 and 32 bits: always below `sides`.
        ((u64::from(sides) * (self.throw() >> 32)) >> 32) as u32
    }
}
