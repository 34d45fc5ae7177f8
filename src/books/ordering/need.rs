//! [`Need`]: one item that one part of one job needs.

use std::fmt;

use super::Item;

/// The part of a job that an item is for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct User {
    /// Name of the job.
    pub job: String,
    /// Reference designator.
    pub designator: String,
}

impl User {
    /// All of them: `amplifier C1, C2; receiver C9`. A part that stands there twice gets its number: `C1 (2)`.
    pub fn all(users: &[Self]) -> String {
        let jobs = Self::by_job(users);
        let jobs = jobs.map(|(job, parts)| format!("{job} {}", parts.join(", ")));
        jobs.collect::<Vec<_>>().join("; ")
    }

    /// The jobs, each with its parts; those of a job must stand together.
    pub fn by_job(users: &[Self]) -> impl Iterator<Item = (&str, Vec<String>)> {
        let jobs = users.chunk_by(|one, other| one.job == other.job);
        jobs.map(|of_job| {
            let parts = of_job.chunk_by(|one, other| one.designator == other.designator);
            let parts = parts.map(|of_part| match of_part {
                [one] => one.designator.clone(),
                several => format!("{} ({})", several[0].designator, several.len()),
            });
            (of_job[0].job.as_str(), parts.collect())
        })
    }
}

impl fmt::Display for User {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.job, self.designator)
    }
}

/// One item that one part of one job needs. A part that is replaced by two has two needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// What it is for.
    pub user: User,
    /// What is needed.
    pub item: Item,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn users_are_told_by_job() {
        let user = |job: &str, designator: &str| User {
            job: job.to_owned(),
            designator: designator.to_owned(),
        };
        let users = [
            user("amplifier", "C1"),
            user("amplifier", "C1"),
            user("amplifier", "R3"),
            user("receiver", "C9"),
        ];
        assert_eq!(User::all(&users), "amplifier C1 (2), R3; receiver C9");
    }
}
