//! Heaps on the wire.

use super::RequestContext;
use super::assumptions::AssumptionsInput;
use super::bounded::{Count, ShortText};
use super::enums::words;
use super::ground::{counted, lengths};
use super::quantity::{LengthInput, ShareInput, VolumeInput};
use super::union::union;
use crate::garden::harvests::{Ends, Heap, Section};
use crate::garden::units::Ratio;
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

words! {
    /// The cross-section of a windrow.
    SectionInput => Section {
        /// Straight sides to a ridge.
        Triangular,
        /// A round back.
        HalfEllipse,
    }
}

words! {
    /// The ends of a windrow.
    EndsInput => Ends {
        /// Sloped like the sides.
        Sloped,
        /// Cut off square.
        Square,
    }
}

macro_rules! heaps {
    ($($(#[$doc:meta])* $name:ident { $($(#[$field_doc:meta])* $field:ident: $type:ty,)* })*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
        pub struct $name {
            /// Your own id, unique in this list; the answer repeats it.
            #[validate(nested)]
            pub id: Option<ShortText>,
            /// Your own name; the answer repeats it.
            #[validate(nested)]
            pub name: Option<ShortText>,
            /// What you know better than the defaults for this heap.
            pub assumptions: Option<AssumptionsInput>,
            /// The share that is ready; all of it unless given.
            pub finished_share: Option<ShareInput>,
            /// The share that passes the sieve; all of it (not sieved, or sieved already) unless given.
            pub sieve_yield: Option<ShareInput>,
            $($(#[$field_doc])* pub $field: $type,)*
        }

        impl $name {
            fn common(&self) -> HeapCommon<'_> {
                HeapCommon {
                    id: self.id.as_deref(),
                    name: self.name.as_deref(),
                    assumptions: self.assumptions.as_ref(),
                    finished_share: self.finished_share.as_ref(),
                    sieve_yield: self.sieve_yield.as_ref(),
                }
            }
        }
    )*};
}

/// What every heap may say.
#[must_use]
#[derive(Debug, Clone, Copy)]
pub struct HeapCommon<'a> {
    /// Its id.
    pub id: Option<&'a str>,
    /// Its name.
    pub name: Option<&'a str>,
    /// What is known better for it.
    pub assumptions: Option<&'a AssumptionsInput>,
    /// How much of it is ready.
    pub finished_share: Option<&'a ShareInput>,
    /// How much passes the sieve.
    pub sieve_yield: Option<&'a ShareInput>,
}

heaps! {
    /// A round heap.
    ConeHeap {
        /// The diameter of the base.
        diameter: LengthInput,
        /// The height, from the ground to the top.
        height: LengthInput,
    }
    /// A long heap, measured at the base.
    WindrowHeap {
        /// The length of the base.
        length: LengthInput,
        /// The width of the base.
        width: LengthInput,
        /// The height, from the ground to the ridge.
        height: LengthInput,
        /// The form of its cross-section; `triangular` unless given.
        section: Option<SectionInput>,
        /// The form of its ends; `sloped` unless given.
        ends: Option<EndsInput>,
    }
    /// A heap between walls, open in front.
    BayHeap {
        /// Half-way between the length at the bottom and that at the top.
        mean_length: LengthInput,
        /// The width between the walls.
        width: LengthInput,
        /// The mean height of the castings.
        height: LengthInput,
    }
    /// An upright round bin.
    BinHeap {
        /// The diameter, from edge to edge.
        diameter: LengthInput,
        /// The height of the castings in the bin.
        height: LengthInput,
    }
    /// Containers, counted.
    CountedHeap {
        /// How many containers there are.
        #[validate(nested)]
        count: Count,
        /// What each holds.
        capacity: VolumeInput,
    }
}

union! {
    /// A heap of castings.
    HeapInput {
        "cone" => Cone(ConeHeap),
        "windrow" => Windrow(WindrowHeap),
        "bay" => Bay(BayHeap),
        "bin" => Bin(BinHeap),
        "counted" => Counted(CountedHeap),
    }
}

impl HeapInput {
    /// What every heap may say.
    pub fn common(&self) -> HeapCommon<'_> {
        match self {
            Self::Cone(it) => it.common(),
            Self::Windrow(it) => it.common(),
            Self::Bay(it) => it.common(),
            Self::Bin(it) => it.common(),
            Self::Counted(it) => it.common(),
        }
    }
}

impl RequestContext<'_> {
    /// Reads the shape of a heap.
    pub fn heap(&self, input: &HeapInput, place: JsonPath<'_>) -> Option<Heap> {
        Some(match input {
            HeapInput::Cone(it) => {
                lengths!((self, it, place), diameter, height);
                Heap::Cone { diameter, height }
            }
            HeapInput::Bin(it) => {
                lengths!((self, it, place), diameter, height);
                Heap::Bin { diameter, height }
            }
            HeapInput::Bay(it) => {
                lengths!((self, it, place), mean_length, width, height);
                Heap::Bay { mean_length, width, height }
            }
            HeapInput::Windrow(it) => {
                lengths!((self, it, place), length, width, height);
                let section = it.section.map_or(Section::Triangular, Section::from);
                let ends = it.ends.map_or(Ends::Sloped, Ends::from);
                Heap::Windrow { length, width, height, section, ends }
            }
            HeapInput::Counted(it) => {
                let count = Ratio::from_number(f64::from(counted(Some(it.count))));
                let count = self.asked(Role::Ratio, count, place.field("count"));
                Heap::Counted { count, holds: self.figure(Role::Bulk, &it.capacity.0, place.field("capacity"))? }
            }
        })
    }
}
