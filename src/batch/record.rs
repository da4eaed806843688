//! Where a record of a table ends, and what its fields are.

/// Finds the ends of records in bytes that come piece by piece: a line end inside quotes does
/// not end one. A quote opens only at the start of a field, so that `4"` is an inch mark.
#[derive(Debug, Clone)]
pub struct Scan {
    delimiter: u8,
    place: Place,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    FieldStart,
    Plain,
    Quoted,
    /// Behind a quote inside quotes: the end of the field, or the first of a pair.
    QuoteInQuotes,
}

impl Scan {
    /// At the start of a table; the delimiter is one byte, such as a comma.
    pub fn new(delimiter: u8) -> Self {
        Self {
            delimiter,
            place: Place::FieldStart,
        }
    }

    /// Number of bytes up to and with the line end of the record, once it is there.
    pub fn end(&mut self, bytes: &[u8]) -> Option<usize> {
        for (at, byte) in bytes.iter().enumerate() {
            self.place = match (self.place, *byte) {
                (Place::Quoted, b'"') => Place::QuoteInQuotes,
                (Place::Quoted, _) | (Place::QuoteInQuotes, b'"') => Place::Quoted,
                (_, b'\n') => {
                    self.place = Place::FieldStart;
                    return Some(at + 1);
                }
                (Place::FieldStart, b'"') => Place::Quoted,
                (_, byte) if byte == self.delimiter => Place::FieldStart,
                _ => Place::Plain,
            };
        }
        None
    }

    /// Whether a quote is open that nothing has closed so far.
    pub fn is_open(&self) -> bool {
        self.place == Place::Quoted
    }
}

/// The separator of a heading line: comma, semicolon or tab, whichever it has most of outside
/// of quotes; a comma where it has none.
pub fn delimiter_of(heading: &[u8]) -> u8 {
    let mut counts = [(b',', 0), (b';', 0), (b'\t', 0)];
    let mut quoted = false;
    for byte in heading {
        quoted ^= *byte == b'"';
        if let Some(it) = counts.iter_mut().find(|it| it.0 == *byte && !quoted) {
            it.1 += 1;
        }
    }
    // The first of equals stands: a comma before the others.
    let most = counts.iter().map(|it| it.1).max().unwrap_or(0);
    counts
        .iter()
        .find(|it| it.1 == most)
        .map_or(b',', |it| it.0)
}

/// Takes records apart into fields, without quotes and line end.
#[derive(Debug)]
pub struct Fields {
    core: csv_core::Reader,
    /// What the fields of one record come to, and where each ends.
    text: Vec<u8>,
    ends: Vec<usize>,
}

impl Fields {
    /// For records with fields divided by one byte, such as a comma.
    pub fn new(delimiter: u8) -> Self {
        Self {
            core: csv_core::ReaderBuilder::new().delimiter(delimiter).build(),
            text: vec![0; 1_024],
            ends: vec![0; 128],
        }
    }

    /// The fields of one record.
    pub fn of(&mut self, record: &[u8]) -> Vec<Vec<u8>> {
        self.core.reset();
        let (mut rest, mut written, mut ended) = (record, 0, 0);
        loop {
            let (result, read, wrote, ends) =
                self.core
                    .read_record(rest, &mut self.text[written..], &mut self.ends[ended..]);
            rest = &rest[read..];
            written += wrote;
            ended += ends;
            match result {
                csv_core::ReadRecordResult::OutputFull => self.text.resize(self.text.len() * 2, 0),
                csv_core::ReadRecordResult::OutputEndsFull => {
                    self.ends.resize(self.ends.len() * 2, 0);
                }
                // No more input: what is there is the record.
                csv_core::ReadRecordResult::InputEmpty => {}
                csv_core::ReadRecordResult::Record | csv_core::ReadRecordResult::End => break,
            }
        }
        let mut start = 0;
        self.ends[..ended]
            .iter()
            .map(|end| self.text[std::mem::replace(&mut start, *end)..*end].to_vec())
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: RFC 4180 by hand: quotes are doubled inside quotes, and a line end stands in them.
    #[test]
    fn records_end_outside_of_quotes() {
        let mut scan = Scan::new(b',');
        let text = b"a,\"b\n\"\"c\"\"\",4\"\r\nnext";
        let end = scan.end(text).unwrap();
        assert_eq!(&text[end..], b"next");
        assert_eq!(
            Fields::new(b',').of(&text[..end]),
            [b"a".to_vec(), b"b\n\"c\"".to_vec(), b"4\"".to_vec()]
        );
        assert_eq!(scan.end(b"x,\"open\n"), None);
        assert!(scan.is_open());
    }

    #[test]
    fn the_separator_is_the_one_the_heading_has_most_of() {
        assert_eq!(delimiter_of(b"visit_date,postal"), b',');
        assert_eq!(delimiter_of(b"visit_date;postal;\"a,b,c,d\""), b';');
        assert_eq!(delimiter_of(b"visit_date\tpostal"), b'\t');
        assert_eq!(delimiter_of(b"postal"), b',');
    }
}
