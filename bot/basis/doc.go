// Package basis holds what people read to judge whether the program is safe:
// the hazard log, with the tests that show each control. It is written in the
// style of ISO 14971 (hazard, sequence, harm; controls by design, protection and
// information) and of the hazard log of DCB0129 (causes, effect, harm, severity
// by likelihood before and after, owner, status), as far as they are known from
// memory; no conformity is claimed. What rules and flags rest on is flows/why.
package basis
