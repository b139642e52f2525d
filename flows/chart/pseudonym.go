package chart

// PatientID is a random pseudonym that begins with the patient's shard in two
// decimal digits: "07" and 16 characters of Crockford's base 32, 80 bits.
type PatientID string
