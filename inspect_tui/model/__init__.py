"""The shop's things as frozen records: what a job, a feature, a tool and a reading are."""
