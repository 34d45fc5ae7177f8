//! [`TABLES`]: the tables of the archive. The documentation for developers has the same table; a test compares them.
//!
//! [`VIEWS`]: answers to what is asked most, kept in the archive as views.

use crate::books::results::{COLUMNS, Holds};

/// A column of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    pub name: &'static str,
    /// Its type in SQLite.
    pub sql_type: &'static str,
    /// Content.
    pub what: &'static str,
}

/// A table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ArchiveTable {
    /// Its name.
    pub name: &'static str,
    /// Its columns.
    pub columns: &'static [Column],
    /// The columns that tell its rows apart.
    pub key: &'static str,
}

impl ArchiveTable {
    /// The statement that makes it.
    pub(super) fn sql(&self) -> String {
        let columns = self
            .columns
            .iter()
            .map(|column| format!("\"{}\" {}", column.name, column.sql_type));
        let columns = columns.collect::<Vec<_>>().join(", ");
        let (name, key) = (self.name, self.key);
        format!("create table {name} ({columns}, primary key ({key})) strict")
    }

    /// The statement that adds a row.
    pub(super) fn insert(&self) -> String {
        let marks = vec!["?"; self.columns.len()].join(", ");
        format!("insert into {} values ({marks})", self.name)
    }
}

const fn text(name: &'static str, what: &'static str) -> Column {
    Column {
        name,
        sql_type: "text",
        what,
    }
}

const fn real(name: &'static str, what: &'static str) -> Column {
    Column {
        name,
        sql_type: "real",
        what,
    }
}

const fn whole(name: &'static str, what: &'static str) -> Column {
    Column {
        name,
        sql_type: "integer",
        what,
    }
}

/// The number that tells jobs apart.
const JOB_NUMBER: Column = whole("job", "number of the job");

/// The designator of a part, upper and lower case alike.
const DESIGNATOR: Column = Column {
    name: "ref",
    sql_type: "text collate nocase",
    what: "reference designator, upper and lower case alike",
};

/// The jobs.
pub(super) const JOB: ArchiveTable = ArchiveTable {
    name: "job",
    key: "job",
    columns: &[
        whole(
            "job",
            "number of the job, counted from one; another build may number anew",
        ),
        text(
            "folder",
            "its folder, as seen from the folder that all are in",
        ),
        text("title", "name of the equipment"),
        whole("made", "year in which it was made"),
        text("rule", "decision rule"),
        real("mains_volt", "mains voltage"),
        real("mains_hertz", "mains frequency"),
        real("temperature_celsius", "temperature at the bench"),
    ],
};

/// The parts of the lists.
pub(super) const PART: ArchiveTable = ArchiveTable {
    name: "part",
    key: "job, \"ref\"",
    columns: &[
        JOB_NUMBER,
        DESIGNATOR,
        whole("place", "its place in the list, counted from one"),
        text("kind", "kind of part"),
        text("listed", "value as the parts list writes it"),
        text(
            "unit",
            "SI unit of the nominal value: ohm, farad, henry, volt, ampere, volt_ac, ratio",
        ),
        real("nominal", "nominal value"),
        text("tolerance", "tolerance"),
        text("rating", "voltage, power and safety class"),
        text("material", "material"),
        text("role", "role"),
        text("node_from", "where its one end is"),
        text("node_to", "where its other end is"),
        whole("in_circuit", "1 if it is still in circuit, else 0"),
        text("note", "note"),
        text("standing", "where it stands"),
        whole(
            "to_do",
            "1 if something is still to be done about it, else 0",
        ),
        text("verdict", "the worst verdict on the part now fitted"),
    ],
};

/// The columns of a measurement: which row it is, all that the row says, and which row counts.
const MEASURED: [Column; COLUMNS.len() + 5] = {
    let what = "results, or incoming for a new part before it went in";
    let mut columns = [JOB_NUMBER; COLUMNS.len() + 5];
    columns[1] = text("source", what);
    columns[2] = whole("place", "its row in that file, counted from one");
    let mut place = 0;
    while place < COLUMNS.len() {
        let (name, what, holds) = COLUMNS[place];
        columns[3 + place] = match holds {
            Holds::Text => text(name, what),
            Holds::Number => real(name, what),
            Holds::Whole | Holds::Flag => whole(name, what),
        };
        place += 1;
    }
    // The only name that is looked up with upper and lower case alike.
    columns[6] = DESIGNATOR;
    let what = "1 if it is the first of its step, of the part that was found, else 0";
    columns[3 + place] = whole("as_found", what);
    let what = "1 if it is the last of its step, of the part now fitted, else 0";
    columns[4 + place] = whole("counts", what);
    columns
};

/// The rows of the results, and of the checks of new parts.
pub(super) const MEASUREMENT: ArchiveTable = ArchiveTable {
    name: "measurement",
    key: "job, source, place",
    columns: &MEASURED,
};

/// The decisions.
pub(super) const DECISION: ArchiveTable = ArchiveTable {
    name: "decision",
    key: "job, place",
    columns: &[
        JOB_NUMBER,
        whole("place", "its row in the file, counted from one"),
        text("time", "when it was decided, RFC 3339"),
        DESIGNATOR,
        text("decision", "keep, replace, order, fitted or accept"),
        text("reason", "why, in the person's words"),
        text("article", "what is to be ordered or was fitted"),
        whole("bag", "number of the bag that the fitted part came from"),
    ],
};

/// Whether a recording is of a sitting or of a batch, by the file that its rows stand in.
const SOURCE_OF_RECORDING: Column = text(
    "source",
    "the file that its rows stand in: results, or incoming for a batch of new parts",
);

/// The sittings, and the batches of new parts.
pub(super) const SITTING: ArchiveTable = ArchiveTable {
    name: "sitting",
    key: "job, source, name",
    columns: &[
        JOB_NUMBER,
        SOURCE_OF_RECORDING,
        text("name", "name of the recording"),
        text("began", "when it began, RFC 3339"),
        real(
            "lasted_s",
            "how long it lasted, in seconds, if it is sealed",
        ),
        text("program", "name and version of the program that wrote it"),
        text("state", "sealed, not ended, torn, or damaged"),
        whole("lines", "how many lines are good"),
        text("sha256", "digest in its seal"),
    ],
};

/// The meters of the sittings.
pub(super) const METER: ArchiveTable = ArchiveTable {
    name: "meter",
    key: "job, source, sitting, number",
    columns: &[
        JOB_NUMBER,
        SOURCE_OF_RECORDING,
        text("sitting", "name of the recording"),
        whole("number", "number of the meter in it, the first is 0"),
        text("name", "what it is called at the bench"),
        text("profile", "name of its profile"),
    ],
};

/// Every table.
pub const TABLES: [ArchiveTable; 6] = [JOB, PART, MEASUREMENT, DECISION, SITTING, METER];

/// A view.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct View {
    pub name: &'static str,
    /// Meaning of its rows.
    pub what: &'static str,
    /// The question behind it.
    sql: &'static str,
}

impl View {
    /// The statement that makes it.
    pub(super) fn sql(&self) -> String {
        format!("create view {} as {}", self.name, self.sql)
    }
}

/// Every view.
pub const VIEWS: [View; 4] = [
    View {
        name: "to_do",
        what: "what is still to be done, over all jobs",
        sql: "select job.folder, job.title, part.\"ref\", part.kind, part.listed, part.standing, part.verdict
            from part join job using (job) where part.to_do = 1 order by job.job, part.place",
    },
    View {
        name: "drift",
        what: "each part as it was found, with its drift from the nominal value and its age; in circuit only what proved something; \
               of a winding at 20 °C where its temperature is known",
        sql: "select job.folder, job.title, part.\"ref\", part.kind, part.material,
                cast(substr(measurement.time, 1, 4) as integer) - job.made as age,
                measurement.unit, measurement.value, measurement.nominal,
                100.0 * (measurement.value - measurement.nominal) / measurement.nominal as drift_percent,
                measurement.value < coalesce(measurement.lower, measurement.value)
                    or measurement.value > coalesce(measurement.upper, measurement.value) as outside,
                measurement.verdict
            from measurement join part using (job, \"ref\") join job using (job)
            where measurement.as_found = 1 and measurement.step = 'value' and measurement.found = 'value'
                and measurement.verdict <> 'inconclusive' and measurement.nominal > 0
                and part.kind in ('resistor', 'potentiometer', 'capacitor', 'winding', 'coil')
            order by job.job, part.place",
    },
    View {
        name: "drift_by_material",
        what: "drift as found by kind, material and tens of years of age",
        sql: "select kind, material, tens_of_years, count(*) as parts,
                avg(case when place in ((parts + 1) / 2, (parts + 2) / 2) then drift_percent end) as median_percent,
                min(drift_percent) as lowest_percent, max(drift_percent) as highest_percent,
                100.0 * avg(outside) as outside_percent
            from (select kind, material, age / 10 * 10 as tens_of_years, drift_percent, outside,
                    row_number() over (partition by kind, material, age / 10 order by drift_percent) as place,
                    count(*) over (partition by kind, material, age / 10) as parts
                from drift)
            group by kind, material, tens_of_years order by kind, material, tens_of_years",
    },
    View {
        name: "meters_used",
        what: "which profiles were used, in how many sittings, since when and until when",
        sql: "select meter.profile, count(*) as sittings, count(distinct meter.job) as jobs,
                min(sitting.began) as first, max(sitting.began) as last
            from meter join sitting on sitting.job = meter.job and sitting.source = meter.source and sitting.name = meter.sitting
            join job on job.job = meter.job
            group by meter.profile order by sittings desc, meter.profile",
    },
];
