package reading

import (
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Reading is what a text says, read in every language at once by package
// locales, which knows neither patient nor question. The talk decides which night
// and which question each answer is about.
type Reading struct {
	Lang     string       // the language whose words were found, "en"; empty where none or several
	Tokens   []Token      // answers that name their question, in the order said
	Features Features     // red-flag phrases found, in any language
	Denied   Features     // red-flag phrases found under a negation ("no swelling"); never used to downgrade
	Word     Word         // the whole text is one control word; beside WordStands and WordStill a SettingLeft token holds the setting named
	Topic    Topic        // with WordHow: which how-to card; with NoWord: the card that answers what the text asks, which people read too
	Code     string       // the text, or the payload of /start, looks like an enrolment code (upper case, no separators)
	Bare     chart.Answer // the whole text is one number, and at most words that say nothing beside it
	Mends    bool         // with Bare: beside it stand words that put right what was said before ("sorry, 2")
	Doubt    Doubt        // why a number in it could not be read
	About    chart.Field  // with Doubt: the question whose number it is; NoField where none was named
	Why      string       // the whole text asks what a rule, flag or number rests on: its id in lower case, WhyAll where none is named
	Rest     bool         // words are left over that were not understood
	Both     bool         // with Bare: the number is said of both sides, or twice
	Over     bool         // among other words, which say no danger, it says that something is over or not now
	Symbols  bool         // nothing but emoji or punctuation

	Understood Understanding // how much of it was
	Sure       Dangers       // dangers heard, and so without a doubt
	Unsure     Dangers       // dangers heard, to be asked about: never one of Sure
	Likeliest  Danger        // of those of Unsure that are most urgent
	Hedges     Hedges        // what speaks against a danger, heard or not
	Doubted    bool          // the phrases of Features are not to be taken at their word: Sure and Unsure say what was heard
	Heard      bool          // nothing of it is left over, but that is the nets' word alone: what it would change is asked
	Calm       bool          // small talk, as far as can be told: nothing of it sounds like a danger
}

// Dangerous reports whether a text says a danger, surely or perhaps.
func (r *Reading) Dangerous() bool { return r.Features != 0 || r.Sure|r.Unsure != 0 }

// Understanding says how much of a text was understood.
type Understanding uint8

// The degrees. A text that says only what is wrong is in part understood.
const (
	NotUnderstood Understanding = iota // no answer, no word of control, no danger
	InPart                             // something, and words are left over or a number is in doubt
	InFull                             // every word that carries meaning
)

// Hedges are what in a text may take its danger away: that it is not so, not now, or not of the one who wears it.
type Hedges uint8

// The hedges.
const (
	HedgeQuestion  Hedges = 1 << iota // it asks
	HedgeCondition                    // if, tomorrow
	HedgeOther                        // somebody else is in it
	HedgeTale                         // a film, an animal, a machine, a joke
	HedgePast                         // long ago, or over
	HedgeNot                          // a not stands in it
	NumHedges      = 6
)

var hedgeNames = [NumHedges]string{"question", "condition", "other", "tale", "past", "negation"}

// List names the hedges.
func (h Hedges) List() (names []string) {
	for i, name := range hedgeNames {
		if h&(1<<i) != 0 {
			names = append(names, name)
		}
	}
	return names
}

// WhyAll asks what can be asked about.
const WhyAll = "?"

// Token is one answer found in a text. A Value that is Unknown names its
// question without an answer ("sore", "gone"): worth asking, never an answer.
type Token struct {
	Field   chart.Field
	Value   chart.Answer
	Negated bool
	Night   civil.Date // where the text names a full date; 0 otherwise
	Day     Day        // where it names a day without its year
}

// Day is a day as a text names it, without a year: "yesterday", "mon", "3 Nov".
type Day struct {
	Kind  DayKind
	N     int8 // days ago; a time.Weekday; a day of the month
	Month int8 // with DayMonth
}

// DayKind says how a day was named.
type DayKind uint8

// The ways to name a day.
const (
	NoDay    DayKind = iota
	DaysAgo          // "yesterday" and "last night" are 1
	DayWeek          // the latest such weekday, today included
	DayMonth         // the latest such date, today included
)

// Date finds the day meant by a text sent on the date today: the latest one
// that is not after it. False where there is none, as for 30 February.
func (d Day) Date(today civil.Date) (civil.Date, bool) {
	switch d.Kind {
	case DaysAgo:
		return today - civil.Date(d.N), true
	case DayWeek:
		return today - civil.Date((int(today.Weekday())-int(d.N)+7)%7), true
	case DayMonth:
		for year := today.Time().Year(); year > today.Time().Year()-8; year-- { // 29 February is at most 8 years back
			date := civil.DateOf(year, time.Month(d.Month), int(d.N))
			if date <= today && date.Time().Day() == int(d.N) {
				return date, true
			}
		}
	}
	return 0, false
}

// Doubt says why a number could not be read.
type Doubt uint8

// The doubts.
const (
	NoDoubt   Doubt = iota
	IsRange         // "3-4", "3 or 4"
	IsHalf          // "3,5" where only whole numbers count
	OutOfZone       // outside the question's scale
	IsRatio         // "10/10"
	IsOdd           // signs, exponents, thousands marks
	Repeated        // two different answers to one question
)

// Word is a control word or command, the same in every language.
type Word uint8

// The words.
const (
	NoWord Word = iota
	WordStart
	WordToday
	WordHelp
	WordUndo
	WordSkip
	WordPause
	WordResume
	WordStop
	WordCall // call me
	WordHow
	WordYes
	WordNo
	WordDiary    // see my own diary
	WordData     // get my own data
	WordLeave    // leave for good, erase
	WordLanguage // change the language
	WordStands   // it stands at the advised setting
	WordStill    // it is still at the last confirmed setting
	WordWrong    // something is wrong
	WordNotNow   // a danger is not happening now
	WordQueue    // staff
	WordFind     // staff
	WordEnrol    // staff
	WordPatients // staff
	WordHold     // staff: hold everything
	WordCancel   // leave a form
	WordBack     // one question back in a form
	WordDone     // finish a form
	WordBlank    // the blank form to copy
	WordThanks   // thanks, ok
	WordHello
	WordLost // the count is lost

	// Answers to whether a danger is one.
	WordNow
	WordEarlier
	WordNotWearer // it is about somebody else
	WordOver
	WordNotOver
	// Answers to the safety question, and to what sets their class.
	WordBreathing
	WordSwelling
	WordSwellingThroat
	WordSwellingCheek
	WordChest
	WordBleeding
	WordBleedingOn
	WordBleedingStops
	WordPart
	WordPartAirway
	WordPartMissing
	WordPartStuck
	WordPartBroken
	WordPain
	WordJawOpen
	WordJawLocked
	WordPainBad
	WordBite
	WordDriving
	WordDrivingAsleep
	WordDrivingNearly
	WordLow
	WordLowHarm
	WordLowMood
	WordElse // something else, call me
	WordNone // none of these

	WordCourse // see my own course as a picture
	WordSame   // the same answer as the night before
	NumWords
)

// Topic is a how-to card.
type Topic uint8

// The how-to cards.
const (
	NoTopic Topic = iota
	HowPutIn
	HowTakeOut
	HowStep // one step forward and one back, and which end of the tool
	HowLipSeal
	HowGuide
	HowClean
	HowFirstWeek
	HowFaster // from here on what patients ask most: common practice, from memory, no source
	HowMissed
	HowLong
	HowMouth // dry, or too much spit
	HowCold
	HowAlcohol
	HowDental
	HowTravel
	HowTeeth
	HowTest
	NumTopics
)

// Asked reports whether a card answers what patients ask, and not how a thing is done.
func (t Topic) Asked() bool { return t >= HowFaster && t < NumTopics }

// Features is a set of red-flag features, a bit each.
type Features uint64

// Has reports whether all of g are in f.
func (f Features) Has(g Features) bool { return f&g == g }

// The features that phrases are made of. The flag table combines them.
const (
	FBreath      Features = 1 << iota // trouble breathing
	FChest                            // chest pain or pressure
	FFaint                            // fainting, passed out
	FStroke                           // face drooping, one-sided weakness, slurred speech
	FSwelling                         // swelling
	FMouthFace                        // ... of lip, tongue, throat, face
	FGum                              // ... of gum
	FHives                            // hives
	FRash                             // rash, red patches, itching in the mouth
	FSwallow                          // trouble swallowing
	FFever                            // fever
	FBroken                           // the appliance or a part of it broke, cracked, came off
	FMissing                          // a piece is missing, cannot be found
	FSwallowed                        // a piece was or may have been swallowed or breathed in
	FCough                            // coughing or choking, no more said
	FLocked                           // jaw locked, cannot open or close
	FOpenLock                         // stuck open, dislocated
	FStuck                            // the appliance cannot be taken out
	FVomit                            // vomiting
	FBleeding                         // bleeding
	FNotStopping                      // ... that does not stop
	FHeadache                         // sudden severe headache, the worst ever
	FNumb                             // new numbness of lip, tongue, chin
	FLipSeal                          // could not breathe with the lip-seal part
	FSeat                             // does not seat, loose, falls out
	FLost                             // the appliance is lost
	FTooth                            // loose or moved tooth
	FToothBroken                      // tooth, filling or crown broken
	FCatch                            // jaw catching, or a click gone with less opening
	FHearing                          // sudden hearing loss
	FWheel                            // fell asleep while driving
	FWheelNear                        // nearly fell asleep while driving
	FBiteOff                          // the bite feels changed all day, teeth do not meet
	FSore                             // sores, ulcers, rubbing
	FPain                             // severe or unbearable pain
	FPauses                           // pauses or choking at night noticed
	FSelfHarm                         // mood crisis, self-harm
	FHarm                             // an accident: a blow to face, jaw or teeth, a fall
	FUrgent                           // ambulance, emergency, help me now, without a symptom named
	FChoke                            // coughing or choking now, or on a piece, or with blood
	FCrash                            // crashed the car, or nearly
	FSeizure                          // a seizure
	FMood                             // low, without a word of harm
	FChild                            // a child or an animal swallowed or chokes on it
	FUlcer                            // a sore of more than two weeks
	FTurned                           // turned the wrong way, twice, or to catch up
	FGap                              // a new gap, teeth that feel loose on waking
	NumFeatures  = iota
)

var topicNames = [...]string{
	NoTopic: "none", HowPutIn: "putin", HowTakeOut: "takeout", HowStep: "step", HowLipSeal: "lipseal", HowGuide: "guide", HowClean: "clean", HowFirstWeek: "firstweek",
	HowFaster: "faster", HowMissed: "missed", HowLong: "long", HowMouth: "mouth", HowCold: "cold", HowAlcohol: "alcohol",
	HowDental: "dental", HowTravel: "travel", HowTeeth: "teeth", HowTest: "test",
}

// String gives the card's stable name, as in the key "howto.putin".
func (t Topic) String() string {
	if t < NumTopics {
		return topicNames[t]
	}
	return topicNames[NoTopic]
}
