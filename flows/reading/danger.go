package reading

import "math/bits"

// Danger is one thing that a text may say is wrong, as the net and the labelled sentences name it.
type Danger uint8

// The dangers. New ones go to the end: a set of them is a number that is kept.
const (
	DangerBreath       Danger = iota // cannot breathe
	DangerChoking                    // choking now
	DangerSwellAirway                // tongue, lips or throat swelling, throat closing
	DangerStuckAirway                // the appliance is stuck, and trouble breathing, swallowing or vomiting
	DangerPieceAirway                // a part swallowed or breathed in, or missing with cough or trouble breathing
	DangerChest                      // chest pain or pressure
	DangerFaint                      // passed out, about to
	DangerStroke                     // face, arm or speech gone on one side
	DangerSeizure                    // a seizure
	DangerBleedHeavy                 // bleeding that does not stop
	DangerHeadSudden                 // sudden worst headache
	DangerJawOpen                    // jaw stuck open
	DangerSelfHarm                   // wants to die, hurts themselves
	DangerOverdose                   // took pills
	DangerChildPart                  // a child or pet swallowed a part
	DangerPartnerBlue                // somebody beside them does not breathe
	DangerJawLocked                  // cannot open
	DangerJawCatch                   // catches, or a click gone with less opening
	DangerStuck                      // the appliance cannot be taken out, breathing is fine
	DangerPieceBroken                // the appliance or a part of it broke
	DangerPieceMissing               // a part is gone, no symptoms
	DangerPainSevere                 // 8 to 10, unbearable
	DangerSwelling                   // face or cheek swollen
	DangerSwellFever                 // ... with fever; an abscess
	DangerHives                      // itchy or puffy after putting it in, breathing is fine
	DangerSwallow                    // trouble swallowing
	DangerDriveAsleep                // fell asleep driving
	DangerAccident                   // a blow to face, jaw or teeth; a crash
	DangerToothBroken                // tooth, crown or filling broken
	DangerNumb                       // new numb lip, tongue or chin
	DangerHearing                    // sudden hearing loss
	DangerLipSeal                    // could not breathe with the lip-seal part
	DangerBiteChanged                // the bite is different, teeth do not meet
	DangerBiteLate                   // the bite came back late
	DangerToothLoose                 // a loose tooth
	DangerSwellGum                   // swollen gum
	DangerBleeding                   // slight bleeding
	DangerUlcer                      // a sore for more than two weeks
	DangerHeadMorning                // morning headaches
	DangerPauses                     // pauses or gasping at night noticed
	DangerSleepy                     // very sleepy by day
	DangerDriveNearly                // nearly fell asleep driving
	DangerLowMood                    // hopeless, crying, no talk of dying
	DangerLost                       // the appliance is lost
	DangerSeat                       // loose, does not seat, falls out
	DangerTurnedWrong                // turned the wrong way, twice, count lost
	DangerNewDental                  // crown, extraction, denture, orthodontics
	DangerPregnant                   // pregnant
	DangerRash                       // a rash in or at the mouth
	DangerVomit                      // vomiting
	NumDangers
)

var dangers = [NumDangers]struct {
	name  string
	class byte
}{
	DangerBreath: {"breath", 'E'}, DangerChoking: {"choking", 'E'}, DangerSwellAirway: {"swelling.airway", 'E'},
	DangerStuckAirway: {"stuck.airway", 'E'}, DangerPieceAirway: {"piece.airway", 'E'}, DangerChest: {"chest", 'E'},
	DangerFaint: {"faint", 'E'}, DangerStroke: {"stroke", 'E'}, DangerSeizure: {"seizure", 'E'},
	DangerBleedHeavy: {"bleeding.heavy", 'E'}, DangerHeadSudden: {"headache.sudden", 'E'}, DangerJawOpen: {"jaw.open", 'E'},
	DangerSelfHarm: {"selfharm", 'E'}, DangerOverdose: {"overdose", 'E'}, DangerChildPart: {"child.part", 'E'},
	DangerPartnerBlue: {"partner.blue", 'E'},
	DangerJawLocked:   {"jaw.locked", 'S'}, DangerJawCatch: {"jaw.catch", 'S'}, DangerStuck: {"stuck", 'S'},
	DangerPieceBroken: {"piece.broken", 'S'}, DangerPieceMissing: {"piece.missing", 'S'},
	DangerPainSevere: {"pain.severe", 'S'}, DangerSwelling: {"swelling", 'S'}, DangerSwellFever: {"swelling.fever", 'S'},
	DangerHives: {"hives", 'S'}, DangerSwallow: {"swallow", 'S'}, DangerDriveAsleep: {"driving.asleep", 'S'},
	DangerAccident: {"accident", 'S'}, DangerToothBroken: {"tooth.broken", 'S'}, DangerNumb: {"numb", 'S'},
	DangerHearing: {"hearing", 'S'}, DangerLipSeal: {"lipseal", 'S'},
	DangerBiteChanged: {"bite.changed", 'N'}, DangerBiteLate: {"bite.late", 'N'}, DangerToothLoose: {"tooth.loose", 'N'},
	DangerSwellGum: {"swelling.gum", 'N'}, DangerBleeding: {"bleeding", 'N'}, DangerUlcer: {"ulcer", 'N'},
	DangerHeadMorning: {"headache.morning", 'N'}, DangerPauses: {"pauses", 'N'}, DangerSleepy: {"sleepy", 'N'},
	DangerDriveNearly: {"driving.nearly", 'N'}, DangerLowMood: {"lowmood", 'N'}, DangerLost: {"appliance.lost", 'N'},
	DangerSeat: {"appliance.seat", 'N'}, DangerTurnedWrong: {"turned.wrong", 'N'}, DangerNewDental: {"newdental", 'N'},
	DangerPregnant: {"pregnant", 'N'}, DangerRash: {"rash", 'N'}, DangerVomit: {"vomit", 'N'},
}

// String gives the danger's stable name, "swelling.airway".
func (d Danger) String() string {
	if d < NumDangers {
		return dangers[d].name
	}
	return "none"
}

// Class says how soon a person must look at it: 'E' emergency now, 'S' the same day, 'N' the next working day;
// 0 where there is no such danger.
func (d Danger) Class() byte {
	if d < NumDangers {
		return dangers[d].class
	}
	return 0
}

// DangerNamed finds a danger by its name.
func DangerNamed(name string) (Danger, bool) {
	for d := range dangers {
		if dangers[d].name == name {
			return Danger(d), true
		}
	}
	return NumDangers, false
}

// Dangers is a set of dangers, a bit each.
type Dangers uint64

// SetOf is the set of the given dangers.
func SetOf(ds ...Danger) (s Dangers) {
	for _, d := range ds {
		s |= 1 << d
	}
	return s
}

// Has reports whether d is in the set.
func (s Dangers) Has(d Danger) bool { return s&(1<<d) != 0 }

// Of is what the set has of a class, 'E', 'S' or 'N'.
func (s Dangers) Of(class byte) Dangers {
	var of Dangers
	for d := range NumDangers {
		if dangers[d].class == class {
			of |= 1 << d
		}
	}
	return s & of
}

// Class is the most urgent class in the set; 0 where it is empty.
func (s Dangers) Class() byte {
	for _, class := range []byte("ESN") {
		if s.Of(class) != 0 {
			return class
		}
	}
	return 0
}

// All lists the set in its order.
func (s Dangers) All() (all []Danger) {
	for ; s != 0; s &= s - 1 {
		all = append(all, Danger(bits.TrailingZeros64(uint64(s))))
	}
	return all
}
