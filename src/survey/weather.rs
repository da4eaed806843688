//! The weather that a place had, month by month, as people can get it: a small table.

use super::dates::month_from_text;
use super::raw::tidy;
use super::visit::{MonthHad, MonthRain};
use crate::units::{Celsius, celsius_from_text, length_from_text, rain_percent_from_text};

/// What is wrong with a table of weather, and in which line.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("line {line}: {what}")]
pub struct WeatherError {
    /// From 1.
    pub line: u64,
    /// What was given, what is accepted, what to do.
    pub what: String,
}

/// Columns of the table.
const COLUMNS: [&str; 3] = ["month", "rain", "temperature"];
/// Most rain of a month that is believed, m.
const MOST_RAIN_M: f64 = 3.0;

/// Reads a table of months: `month` such as 2026-08, `rain` such as 110 mm, 4.3 in or 150 %
/// of normal, and `temperature` such as 21.5C or 70F. Rain or temperature may be empty, and the
/// last column left out; snow counts as the water it holds. Lines that begin with # are remarks.
///
/// # Errors
///
/// The first line that is not read, with what is accepted.
///
/// ```
/// use slabseason::survey::{MonthRain, months_had};
/// let months = months_had("month,rain,temperature\n2026-08,4.3 in,70F\n")?;
/// assert_eq!((months[0].year, months[0].month), (2026, 8));
/// let Some(MonthRain::Fallen(mm)) = months[0].rain else { panic!() };
/// assert!((mm - 109.22).abs() < 1e-9);
/// # Ok::<(), slabseason::survey::WeatherError>(())
/// ```
pub fn months_had(text: &str) -> Result<Vec<MonthHad>, WeatherError> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let mut places = [None; COLUMNS.len()];
    let headings = reader.headers().map_err(|it| not_a_table(&it))?.clone();
    for (at, heading) in headings.iter().enumerate() {
        let heading = heading.to_lowercase();
        let heading = match heading.as_str() {
            "temp" | "mean temp" | "mean temperature" | "avg temp" | "average temperature" => {
                "temperature"
            }
            "precipitation" | "precip" | "rainfall" => "rain",
            "date" => "month",
            other => other,
        };
        match COLUMNS.iter().position(|it| *it == heading) {
            Some(column) => places[column] = Some(at),
            None => {
                return Err(wrong(
                    1,
                    format!("column \"{heading}\" is not read; accepted: month, rain, temperature"),
                ));
            }
        }
    }
    if places[0].is_none() || places[1..].iter().all(Option::is_none) {
        let what = "the first line names the columns; accepted: month, and rain or temperature or both, such as month,rain,temperature";
        return Err(wrong(1, what.to_string()));
    }
    let mut months = Months::default();
    for record in reader.records() {
        let record = record.map_err(|it| not_a_table(&it))?;
        let line = record.position().map_or(0, |it| it.line());
        let cell = |column: usize| places[column].and_then(|at| record.get(at)).unwrap_or("");
        months
            .add(cell(0), cell(1), cell(2))
            .map_err(|what| wrong(line, what))?;
    }
    let months = months.0;
    if months.is_empty() {
        let what = "no month is given; accepted: lines such as 2026-08,4.3 in,70F".to_string();
        return Err(wrong(2, what));
    }
    Ok(months)
}

/// Months in the order they were given, none of them twice.
#[derive(Default)]
struct Months(Vec<MonthHad>);

impl Months {
    fn add(&mut self, month: &str, rain: &str, temperature: &str) -> Result<(), String> {
        let it = month_of(month, rain, temperature)?;
        let is_same = |other: &MonthHad| (other.year, other.month) == (it.year, it.month);
        if self.0.iter().any(is_same) {
            return Err(format!("month {month} stands there twice; delete one line"));
        }
        self.0.push(it);
        Ok(())
    }
}

/// Months of a visit file, one text each: `2026-08, 4.3 in, 70F`, rain or temperature left out
/// where it is not known.
pub(super) fn months_in<'a>(
    lines: impl IntoIterator<Item = &'a str>,
) -> Result<Vec<MonthHad>, String> {
    let mut months = Months::default();
    for line in lines {
        let cells: Vec<&str> = line.split(',').map(str::trim).collect();
        let (month, rain, temperature) = match cells[..] {
            [month, temperature] if is_temperature(temperature) => (month, "", temperature),
            [month, rain] => (month, rain, ""),
            [month, rain, temperature] => (month, rain, temperature),
            _ => return Err(format!("\"{line}\" is no month with its weather")),
        };
        months.add(month, rain, temperature)?;
    }
    Ok(months.0)
}

fn is_temperature(text: &str) -> bool {
    celsius_from_text(text).is_ok() && rain_of(text).is_err()
}

/// A month as a visit file holds it.
pub(super) fn month_text(it: &MonthHad) -> String {
    let rain = it.rain.map_or(String::new(), |rain| match rain {
        MonthRain::Fallen(mm) => format!("{} mm", tidy(mm)),
        MonthRain::OfNormal(share) => format!("{} %", tidy(100.0 * share)),
    });
    let mean = it
        .mean
        .map_or(String::new(), |it| format!("{}C", tidy(it.get())));
    let cells = [format!("{}-{:02}", it.year, it.month), rain, mean];
    cells
        .into_iter()
        .filter(|it| !it.is_empty())
        .collect::<Vec<_>>()
        .join(", ")
}

fn wrong(line: u64, what: String) -> WeatherError {
    WeatherError { line, what }
}

fn not_a_table(error: &csv::Error) -> WeatherError {
    let line = error.position().map_or(1, |it| it.line());
    wrong(line, format!("{error}; accepted: comma-separated text"))
}

fn month_of(month: &str, rain: &str, temperature: &str) -> Result<MonthHad, String> {
    let (year, number) = month_from_text(month)
        .filter(|(year, month)| (1900..=2200).contains(year) && (1..=12).contains(month))
        .ok_or_else(|| {
            format!("month \"{month}\" is not read; accepted: such as 2026-08 or Aug 2026")
        })?;
    let rain = Some(rain)
        .filter(|it| !it.is_empty())
        .map(rain_of)
        .transpose()?;
    let mean = Some(temperature)
        .filter(|it| !it.is_empty())
        .map(|it| {
            celsius_from_text(it)
                .and_then(|it| Celsius::new(tidy(it.get())))
                .map_err(|error| format!("{error}"))
        })
        .transpose()?;
    if rain.is_none() && mean.is_none() {
        return Err(format!(
            "nothing is told of {month}; accepted: rain such as 4.3 in, 110 mm or 150 %, temperature such as 70F or 21C; or leave the line out"
        ));
    }
    Ok(MonthHad {
        year,
        month: number,
        rain,
        mean,
    })
}

fn rain_of(text: &str) -> Result<MonthRain, String> {
    let accepted =
        "accepted: the unit behind the number, such as 4.3 in, 110 mm, 11 cm, or 150 % of normal";
    if text.ends_with(|it: char| it.is_ascii_digit() || it == '.') {
        return Err(format!("rain \"{text}\" carries no unit; {accepted}"));
    }
    if text.contains('%') || text.contains("percent") {
        return rain_percent_from_text(text)
            .map(|it| MonthRain::OfNormal(tidy(it.share())))
            .map_err(|error| format!("{error}; {accepted}"));
    }
    match length_from_text(text) {
        Ok(it) if (0.0..=MOST_RAIN_M).contains(&it.get()) => {
            Ok(MonthRain::Fallen(tidy(1_000.0 * it.get())))
        }
        _ => Err(format!("rain \"{text}\" is not read; {accepted}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: by hand. 4.3 in are 109.22 mm; 70 °F are 21.11 °C.
    #[test]
    fn months_are_read_in_every_unit() {
        let text = "# a remark\nMonth, Rain, Temperature\n2026-06,110 mm,\n2026-07,150 %,21.5C\n2026-08,,70F\n";
        let months = months_had(text).unwrap();
        assert_eq!(months[0].rain, Some(MonthRain::Fallen(110.0)));
        assert_eq!(months[1].rain, Some(MonthRain::OfNormal(1.5)));
        assert_eq!(months[2].rain, None);
        assert!((months[2].mean.unwrap().get() - 21.111).abs() < 1e-3);
    }

    /// What a visit file holds says the same as the table it came from.
    #[test]
    fn months_are_written_as_they_are_read() {
        let text = "month,rain,temperature\n2026-06,4.3 in,\n2026-07,150 %,21.5C\n2026-08,,70F\n";
        let months = months_had(text).unwrap();
        let lines: Vec<String> = months.iter().map(month_text).collect();
        assert_eq!(lines[0], "2026-06, 109.22 mm");
        assert_eq!(lines[1], "2026-07, 150 %, 21.5C");
        assert_eq!(lines[2], "2026-08, 21.11111111C");
        let again = months_in(lines.iter().map(String::as_str)).unwrap();
        assert_eq!(again.len(), 3);
        for (it, before) in again.iter().zip(&months) {
            assert_eq!(month_text(it), month_text(before));
        }
        assert!(months_in(["2026-08"]).unwrap_err().contains("no month"));
        assert!(
            months_in(["2026-08, 4.3 in", "2026-08, 70F"])
                .unwrap_err()
                .contains("twice")
        );
    }

    #[test]
    fn what_is_not_read_is_told_with_its_line() {
        for (text, line, says) in [
            ("month,rain\n2026-08,4.3\n", 2, "carries no unit"),
            (
                "month,rain\n2026-08,10 mm\nsummer 2026,10 mm\n",
                3,
                "such as 2026-08",
            ),
            ("month,rain\n2026-13,10 mm\n", 2, "such as 2026-08"),
            ("month,rain\n2026-08,-10 mm\n", 2, "such as 4.3 in"),
            ("month,rain\n2026-08,10 mm\n2026-08,9 mm\n", 3, "twice"),
            ("month,rain\n2026-08,\n", 2, "nothing is told"),
            ("month,wind\n2026-08,3\n", 1, "accepted: month, rain"),
            ("month\n2026-08\n", 1, "names the columns"),
            ("month,rain\n", 2, "no month"),
            ("month,temperature\n2026-08,warm\n", 2, "warm"),
        ] {
            let error = months_had(text).unwrap_err();
            assert_eq!(error.line, line, "{text}: {error}");
            assert!(error.to_string().contains(says), "{text}: {error}");
        }
    }
}
