//! How many lanes the processor takes at once.
//!
//! The ordinary build is for any x86-64, two lanes at once. Where the processor has wider
//! units the same body runs compiled for them. Digits are equal in every width.

/// A width that this processor has.
// Invariant: made only after the processor was asked for what the kind needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Width(Kind);

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    AsBuilt,
    #[cfg(target_arch = "x86_64")]
    Avx2,
    #[cfg(target_arch = "x86_64")]
    Avx512,
}

/// A piece of work whose body is compiled once for each width.
pub trait Work {
    /// What the work gives.
    type Output;
    /// The body; `#[inline(always)]`, so that it takes on the width of its caller.
    fn run(self) -> Self::Output;
}

impl Width {
    /// What the build was made for, on every processor.
    pub const AS_BUILT: Self = Self(Kind::AsBuilt);

    /// All widths of this processor, the widest last.
    pub fn all() -> Vec<Self> {
        // No wider unit is looked for on other machines.
        #[cfg_attr(not(target_arch = "x86_64"), allow(unused_mut))]
        let mut res = vec![Self::AS_BUILT];
        #[cfg(target_arch = "x86_64")]
        {
            if std::arch::is_x86_feature_detected!("avx2") {
                res.push(Self(Kind::Avx2));
            }
            if std::arch::is_x86_feature_detected!("avx2")
                && std::arch::is_x86_feature_detected!("avx512f")
                && std::arch::is_x86_feature_detected!("avx512dq")
                && std::arch::is_x86_feature_detected!("avx512vl")
            {
                res.push(Self(Kind::Avx512));
            }
        }
        res
    }

    /// The widest of this processor.
    pub fn widest() -> Self {
        static WIDEST: std::sync::LazyLock<Width> = std::sync::LazyLock::new(|| {
            *Width::all()
                .last()
                .expect("the build's own width is always there")
        });
        *WIDEST
    }

    /// A word for tables.
    pub fn word(self) -> &'static str {
        match self.0 {
            Kind::AsBuilt => "as built",
            #[cfg(target_arch = "x86_64")]
            Kind::Avx2 => "AVX2",
            #[cfg(target_arch = "x86_64")]
            Kind::Avx512 => "AVX-512",
        }
    }

    /// Runs the body that is compiled for this width.
    #[inline]
    pub fn run<W: Work>(self, work: W) -> W::Output {
        match self.0 {
            Kind::AsBuilt => work.run(),
            // SAFETY: by the invariant the processor has AVX2.
            #[cfg(target_arch = "x86_64")]
            Kind::Avx2 => unsafe { with_avx2(work) },
            // SAFETY: by the invariant the processor has these parts of AVX-512.
            #[cfg(target_arch = "x86_64")]
            Kind::Avx512 => unsafe { with_avx512(work) },
        }
    }
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn with_avx2<W: Work>(work: W) -> W::Output {
    work.run()
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2,avx512f,avx512dq,avx512vl")]
fn with_avx512<W: Work>(work: W) -> W::Output {
    work.run()
}
