// Package evidence holds what the program rests on: claims, each with where it
// was found or that it is common practice without a source, and the
// publications that they name. Rules, flags, blanks and figures refer to claims
// by id, so that a person can ask why and read the source. claim.go has the
// claims, publication.go the publications.
package evidence
