//! How many rows stand elsewhere than they should.

/// How many of `places` would have to be moved so that all ascend: all but the longest run that does already.
pub(super) fn moved(places: &[usize]) -> usize {
    // The smallest end of an ascending run of each length so far (patience sorting).
    let mut ends: Vec<usize> = Vec::new();
    for &place in places {
        let length = ends.partition_point(|end| *end < place);
        match ends.get_mut(length) {
            Some(end) => *end = place,
            None => ends.push(place),
        }
    }
    places.len() - ends.len()
}

/// The first that stands before the one it should follow.
pub(super) fn first_moved(places: &[usize]) -> Option<usize> {
    let at = places.windows(2).position(|pair| pair[1] < pair[0])?;
    Some(places[at + 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_was_moved_counts() {
        assert_eq!(moved(&[]), 0);
        assert_eq!(moved(&[3, 4, 9]), 0);
        assert_eq!(
            (moved(&[0, 5, 1, 2, 3]), first_moved(&[0, 5, 1, 2, 3])),
            (1, Some(1))
        );
        assert_eq!((moved(&[2, 1, 0]), first_moved(&[2, 1, 0])), (2, Some(1)));
    }
}
