// Package metrics offers what the program counts to Prometheus.
//
// What happens is counted where it happens, one atomic addition each. What
// stands in the store is read when somebody asks, at most once in ten seconds
// however often they ask, from indexes of what waits and what is open: it costs
// by the work that is left, not by who is enrolled. No label names a patient, a
// chat or a text; every label's values are a closed set.
package metrics
