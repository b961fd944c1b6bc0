//! Typed indices into a model.

macro_rules! id {
    ($($(#[$doc:meta])* $name:ident)+) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(u32);

        impl $name {
            /// The id of the element at `index` (models hold fewer than 2³² of each).
            pub fn new(index: usize) -> Self {
                Self(u32::try_from(index).unwrap_or(u32::MAX))
            }

            /// Position in the model's list.
            pub fn index(self) -> usize {
                self.0 as usize
            }
        }
    )+ };
}

id! {
    /// A face of one model.
    FaceId
    /// An edge of one model.
    EdgeId
    /// A vertex of one model.
    VertexId
    /// A part (or instance) of one model.
    PartId
}
