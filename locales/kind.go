package locales

import (
	"fmt"
	"slices"
	"strings"

	"duskdawn/flows/reading"
	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
)

// Dangers that sound alike are told apart by what stands in the text. A part that was swallowed is a child's or an
// animal's only where the text speaks of somebody beside the writer; it is in the airway only where a cough, a breath
// or the like is told; a jaw that cannot be opened does not stand open; lips that swell and itch, and a face that swells
// with fever, are of the same day while tongue, throat and breath are well.

// sign is a word that tells dangers apart, in one language or several.
type sign struct {
	text  string // folded, a space at each end that is the end of a word
	of    signs
	langs uint8
}

// signs is a set of kinds of signs, a bit each.
type signs uint64

const (
	signAirway signs = 1 << iota // a cough, a wheeze, something breathed in
	signBeside                   // a child, an animal, somebody else
	signShut                     // it cannot be opened
	signOpen                     // it cannot be shut, or is out of its joint
	signItch                     // it itches, hives
	signDeep                     // tongue, neck
	signTold                     // somebody tells the writer what the writer does asleep
	signWell                     // no cough, breathing is fine
	signFall                     // a fall, a blow
	signFound                    // the part that came off is at hand
	signMaybe                    // "may have": a doubt that is no condition
	signDose                     // a medicine that people take every day
	signExcess                   // much of it, by mistake, with drink, or whoever took it is not well
	signUsual                    // as always
	signHome                     // a sofa, a bed, the television
	signWheel                    // a car, a road
	signThanks
	signOught   // what ought to be
	signHour    // a time of day stands behind it
	signUnit    // ... before it, or a strength
	signSwap    // two things are told the wrong way round
	signInitial // the first letter of a day
	signSlip    // what was said before it is put right
	signMeasure // a length or a share, which no step has
	signGrew    // it was another number before, or became one
	signAdvised // ... as somebody said
	signWas     // "it was": between two days
	signBlank   // nothing is remembered, or was noted
	signSoft    // "much", "that loud", "until": behind a "not" it denies a part
	signSome    // ... of driving
	signWhole   // ... of a night
	signLater   // it is still to come
	signTimes   // more than once
	signAgain   // it was put back
	signTill    // until then
	signOf      // "out of"
	signAwake   // what one does or feels all night
	signAlarm   // a pulse, an ambulance: nothing that the dictionaries know, and no small matter
)

var signNames = map[string]signs{"airway": signAirway, "beside": signBeside, "shut": signShut, "open": signOpen,
	"itch": signItch, "deep": signDeep, "told": signTold, "well": signWell, "fall": signFall, "maybe": signMaybe, "found": signFound, "dose": signDose, "excess": signExcess,
	"usual": signUsual, "home": signHome, "wheel": signWheel, "thanks": signThanks, "ought": signOught, "hour": signHour, "unit": signUnit,
	"swap": signSwap, "initial": signInitial, "slip": signSlip, "measure": signMeasure, "grew": signGrew, "alarm": signAlarm,
	"advised": signAdvised, "was": signWas, "blank": signBlank, "soft": signSoft, "some": signSome, "whole": signWhole, "later": signLater, "times": signTimes, "again": signAgain, "till": signTill, "of": signOf, "awake": signAwake}

// signWords reads the section [sign] of a dictionary: "cough*" is every word that begins so.
func (d *dictionary) signWords(page map[string][]string, lang uint8) error {
	for _, key := range sortedKeys(page) {
		of, ok := signNames[key]
		if !ok {
			return fmt.Errorf("no sign is called %q", key)
		}
		for _, row := range page[key] {
			row, begins := strings.CutSuffix(row, "*")
			text := " " + string(fold.Text(nil, row))
			if !begins {
				text += " "
			}
			if len(text) < 3 {
				return fmt.Errorf("the sign %q is too short", row)
			}
			d.signs = append(d.signs, sign{text, of, lang})
			d.signAt[signKey(text)] = append(d.signAt[signKey(text)], sign{text, of, lang})
		}
	}
	return nil
}

// signLangs is the language of a text, or all of them.
func (d *dictionary) signLangs(lang string) uint8 {
	if i := slices.Index(d.langs, lang); i >= 0 {
		return 1 << i
	}
	return ^uint8(0)
}

// spaced are the words of a folded text, a space at each end.
func spaced(b []byte) string {
	return " " + strings.Join(strings.FieldsFunc(string(b), func(c rune) bool {
		return c < 0x80 && !fold.IsLetter(byte(c)) && !fold.IsDigit(byte(c))
	}), " ") + " "
}

// signsIn finds the signs of a folded text: of its own language, where it has one.
func (d *dictionary) signsIn(b []byte, lang string) (found signs) {
	langs, text := d.signLangs(lang), spaced(b)
	for i := 0; i+2 < len(text); i++ {
		if text[i] != ' ' {
			continue
		}
		for _, s := range d.signAt[signKey(text[i:])] {
			if s.langs&langs != 0 && found&s.of != s.of && strings.HasPrefix(text[i:], s.text) {
				found |= s.of
			}
		}
	}
	return found
}

// signKey is what the signs are looked up by: how they begin.
func signKey(text string) [2]byte { return [2]byte{text[1], text[2]} }

var (
	childPart    = reading.SetOf(reading.DangerChildPart)
	pieceAirway  = reading.SetOf(reading.DangerPieceAirway)
	pieceMissing = reading.SetOf(reading.DangerPieceMissing)
	partOfOne    = pieceAirway | pieceMissing | reading.SetOf(reading.DangerChoking)
	jawOpen      = reading.SetOf(reading.DangerJawOpen)
	jawLocked    = reading.SetOf(reading.DangerJawLocked)
	swellAirway  = reading.SetOf(reading.DangerSwellAirway)
	swellFever   = reading.SetOf(reading.DangerSwellFever)
	hives        = reading.SetOf(reading.DangerHives)
	pauses       = reading.SetOf(reading.DangerPauses)
	partnerBlue  = reading.SetOf(reading.DangerPartnerBlue)
	turnedWrong  = reading.SetOf(reading.DangerTurnedWrong)
	toothLoose   = reading.SetOf(reading.DangerToothLoose)
	accident     = reading.SetOf(reading.DangerAccident)
	selfHarm     = reading.SetOf(reading.DangerSelfHarm)
	overdose     = reading.SetOf(reading.DangerOverdose)
	drowsy       = reading.SetOf(reading.DangerDriveAsleep) | reading.SetOf(reading.DangerDriveNearly)
)

// sameDay is how many times likelier than an emergency what is of the same day must be for the emergency not to be asked about.
const sameDay = 1.25

// kinds mends what kind of danger was heard. What was surely an emergency is asked about at least, unless what is of
// the same day is likelier by the net too.
func (d *dictionary) kinds(b []byte, r *reading.Reading, l *left, h *danger.Hearing) {
	heard := r.Sure | r.Unsure
	if heard&(childPart|pieceAirway|pieceMissing|jawOpen|swellAirway|pauses|partnerBlue|toothLoose|overdose|drowsy) == 0 {
		return
	}
	s, plain, likelier := d.signsIn(b, r.Lang), flagDangers(r.Features), sameDay*h.Class('E') > h.Class('S')
	if r.Features == 0 && heard&^painSevere == overdose && d.aDose(b, r.Lang) {
		r.Sure, r.Unsure = r.Sure&^overdose, r.Unsure&^overdose // people read it
		return
	}
	if s&(signHome|signWheel) == signHome && plain&drowsy == 0 { // "fell asleep on the sofa"
		r.Sure, r.Unsure = r.Sure&^drowsy, r.Unsure&^drowsy
	}
	switch {
	case heard&childPart == 0:
	case s&signBeside == 0 || l.pos.has(cISwallowed):
		swap(r, childPart, pieceAirway)
	case r.Sure&childPart != 0: // nothing of it is the patient's own
		r.Sure, r.Unsure = r.Sure&^partOfOne, r.Unsure&^partOfOne
		if r.Features != 0 {
			r.Features |= reading.FChild
		}
	}
	if s&signAirway == 0 || s&signWell != 0 {
		if plain&pieceAirway == 0 {
			lower(r, pieceAirway, pieceMissing, likelier)
		}
		switch {
		case heard&swellAirway == 0 || s&signDeep != 0:
		case s&signItch != 0: // of the lips alone
			lower(r, swellAirway, hives, true)
			r.Doubted = true
		case r.Features.Has(reading.FFever) && !l.pos.has(cMouthPart): // of the face
			lower(r, swellAirway, swellFever, likelier)
			r.Doubted = true
		}
	}
	if s&signFall != 0 && s&signBeside == 0 { // teeth that a blow has loosened
		swap(r, toothLoose, accident)
	}
	doubt := reading.HedgeNot // a part that cannot be found, or may have been swallowed, is missing: the doubt is of the matter
	if s&signMaybe != 0 {
		doubt |= reading.HedgeCondition
	}
	if s&signFound != 0 && s&signAirway == 0 && plain&partOfOne == 0 {
		r.Sure, r.Unsure = r.Sure&^partOfOne, r.Unsure&^partOfOne
	}
	if plain&r.Unsure&pieceMissing != 0 && r.Hedges&^doubt == 0 {
		r.Sure, r.Unsure = r.Sure|pieceMissing, r.Unsure&^pieceMissing
	}
	if s&(signShut|signOpen) == signShut { // also in "my jaw is locked, hardly opens"
		lower(r, jawOpen, jawLocked, false)
	}
	if s&signTold != 0 && plain&pauses != 0 && h.Share[reading.DangerPauses] > h.Share[reading.DangerPartnerBlue] {
		lower(r, partnerBlue, pauses, false)
	}
	if s&signTold != 0 && plain == pauses && r.Unsure&pauses != 0 && r.Hedges&^(reading.HedgeOther|reading.HedgePast) == 0 {
		// the one who tells it is no hedge, and neither is what was before
		r.Sure, r.Unsure, r.Doubted = r.Sure|pauses, r.Unsure&^pauses, false
	}
}

// swap takes one danger for another, as sure as it was.
func swap(r *reading.Reading, from, to reading.Dangers) {
	if r.Sure&from != 0 {
		r.Sure |= to
	} else if r.Unsure&from != 0 {
		r.Unsure |= to
	}
	r.Sure &^= from
	r.Unsure = r.Unsure &^ (from | r.Sure)
}

// lower takes an emergency for what is of the same day, and goes on asking about it where that is likelier.
func lower(r *reading.Reading, from, to reading.Dangers, ask bool) {
	if (r.Sure|r.Unsure)&from == 0 {
		return
	}
	swap(r, from, to)
	if ask {
		r.Unsure |= from
	}
}
