//! How large the pieces of a material are.

use super::enums::words;
use crate::garden::feeds::Size;

words! {
    /// How large the pieces of a material are: `fine` up to about 1 cm, `medium` up to about 5 cm, `coarse` above.
    SizeInput as PieceSizeInput => Size {
        /// Grains and crumbs up to about 1 cm.
        Fine,
        /// Pieces of about 1 to 5 cm.
        Medium,
        /// Above about 5 cm.
        Coarse,
    }
}
