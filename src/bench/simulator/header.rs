//! SCPI headers: long form, short form, any case.

/// Whether `header` is a way to write `pattern`, whose capital letters are the short form: `SYSTem:ERRor?`.
///
/// A node is either its short or its long form, nothing in between (SCPI-1999 vol. 1, as quoted in makers' manuals).
pub(super) fn matches(pattern: &str, header: &str) -> bool {
    let (pattern, asks) = query_mark(pattern);
    let (header, asked) = query_mark(header);
    let (mut nodes, mut words) = (pattern.split(':'), header.split(':'));
    let alike = nodes
        .by_ref()
        .all(|node| words.next().is_some_and(|word| node_matches(node, word)));
    alike && words.next().is_none() && asks == asked
}

fn query_mark(header: &str) -> (&str, bool) {
    header
        .strip_suffix('?')
        .map_or((header, false), |bare| (bare, true))
}

fn node_matches(node: &str, word: &str) -> bool {
    let short = node.trim_end_matches(|letter: char| letter.is_ascii_lowercase());
    word.eq_ignore_ascii_case(node) || word.eq_ignore_ascii_case(short)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_and_short_forms_in_any_case_match() {
        for header in ["SYST:ERR?", "syst:err?", "SYSTEM:ERROR?", "System:Err?"] {
            assert!(matches("SYSTem:ERRor?", header), "{header}");
        }
    }

    #[test]
    fn nothing_in_between_matches() {
        // `SYSTe:ERR?` is a makers' manual's own example of a wrong header.
        for header in [
            "SYSTe:ERR?",
            "SYST:ERR",
            "SYST?",
            "SYST:ERR:NEXT?",
            "SYST:",
            "",
        ] {
            assert!(!matches("SYSTem:ERRor?", header), "{header}");
        }
    }
}
