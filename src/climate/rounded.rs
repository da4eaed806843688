//! A place told to strangers: the town, not the house.

/// The text of a place with every number of degrees rounded to hundredths, about a kilometer.
///
/// # Example
///
/// ```
/// use slabseason::climate::to_the_town;
/// assert_eq!(
///     to_the_town("44.476123, -73.212987, near BURLINGTON INTL AP"),
///     "44.48, -73.21, near BURLINGTON INTL AP"
/// );
/// assert_eq!(to_the_town("05401, near BURLINGTON"), "05401, near BURLINGTON");
/// ```
pub fn to_the_town(label: &str) -> String {
    let mut out = String::with_capacity(label.len());
    let mut rest = label;
    while let Some(start) = rest.find(|it: char| it.is_ascii_digit()) {
        let end = rest[start..]
            .find(|it: char| !it.is_ascii_digit() && it != '.')
            .map_or(rest.len(), |it| start + it);
        let number = &rest[start..end];
        out.push_str(&rest[..start]);
        let decimals = number.split_once('.').map_or(0, |it| it.1.len());
        match number.parse::<f64>() {
            Ok(value) if decimals > 2 => out.push_str(&format!("{value:.2}")),
            _ => out.push_str(number),
        }
        rest = &rest[end..];
    }
    out.push_str(rest);
    out
}

/// Provinces and territories, as they stand behind a town.
const PROVINCES: [&str; 13] = [
    "AB", "BC", "MB", "NB", "NL", "NS", "NT", "NU", "ON", "PE", "QC", "SK", "YT",
];

/// Whether a place's label is one in Canada: by its postal code, and without one by the
/// province of its weather station, which may lie across the border.
///
/// ```
/// use slabseason::climate::is_in_canada;
/// assert!(is_in_canada("K1A, near Ottawa, ON"));
/// assert!(is_in_canada("P6A, near Sault Ste Marie, MI"));
/// assert!(!is_in_canada("05401, near Burlington, VT"));
/// assert!(!is_in_canada("14301, near Niagara Falls, ON"));
/// assert!(is_in_canada("45.4, -75.7, near Ottawa, ON"));
/// ```
pub fn is_in_canada(label: &str) -> bool {
    let code = label.split(',').next().unwrap_or_default().as_bytes();
    let is_digits = (3..=5).contains(&code.len()) && code.iter().all(u8::is_ascii_digit);
    if is_digits {
        return false;
    }
    if let [first, second, third, ..] = code
        && first.is_ascii_alphabetic()
        && second.is_ascii_digit()
        && third.is_ascii_alphabetic()
    {
        return true;
    }
    label
        .rsplit_once(", ")
        .is_some_and(|it| PROVINCES.contains(&it.1))
}
