"""A bundle: a span of the record as files that anybody can read and check without sentinel, and a report to print."""
