//! Quantities: a text is read as a finite amount, or refused with a reason.

use barrowful::garden::units::Dimension;
use barrowful::garden::units::text::{Reader, read};

/// Reads a text as each dimension.
pub fn quantities(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    for us_customary in [false, true] {
        let reader = Reader { us_customary, ..Reader::default() };
        for dimension in Dimension::ALL {
            match read(text, &[*dimension], &reader) {
                Ok(read) => {
                    assert!(read.base.is_finite(), "{text:?} is {}", read.base);
                    assert_eq!(read.dimension, *dimension, "{text:?}");
                    // White space around it says nothing.
                    let again = super::quantities::read(&format!("  {text} "), &[*dimension], &reader);
                    assert_eq!(again.map(|again| again.base.to_bits()).ok(), Some(read.base.to_bits()), "{text:?}");
                }
                Err(refusal) => assert!(!refusal.detail.is_empty(), "{text:?}"),
            }
        }
        let any = read(text, Dimension::ALL, &reader);
        let one = Dimension::ALL.iter().any(|dimension| read(text, &[*dimension], &reader).is_ok());
        assert!(any.is_err() || one, "{text:?} fits all dimensions together and none alone");
    }
}
