//! [`VIEWS`]: answers to what is asked most, kept in the archive as views.

/// A view.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct View {
    /// Its name.
    pub name: &'static str,
    /// What it shows.
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
        name: "open_work",
        what: "what is still to be done, over all jobs",
        sql: "select job.folder, job.title, part.\"ref\", part.kind, part.listed, part.standing, part.verdict
            from part join job using (job) where part.open = 1 order by job.job, part.place",
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
