package chart

// Field is one thing that a person can say of a night, a week or tonight.
type Field uint8

// The fields. Their order is part of the stored form: add at the end only.
const (
	NoField      Field = iota
	Worn               // WornNo, WornPart, WornAll
	WornMinutes        // minutes worn, 0 to 1440
	NotWorn            // why not, or why taken out: a Reason
	Snoring            // 0 to 10, as loud as the reporter heard it
	Reporter           // a Reporter
	Pain               // worst jaw, joint or tooth pain 0 to 10, waking included
	Woken              // pain woke the patient: No, Yes
	Where              // where it hurts: a Site
	Gone               // when the pain went: GoneMorning and on
	Guide              // morning bite guide used: No, Yes
	GuideMinutes       // minutes it was used
	Bite               // back teeth touch: BiteBoth and on, when asked in the morning
	BiteMinutes        // minutes until both sides touched as before; BiteNot where they did not
	Nose               // breathes easily through the nose tonight: No, Yes
	Sleepiness         // daytime sleepiness 0 to 10, in our own words
	Driving            // DrivingNo and on, over the last 7 days
	Pauses             // pauses or choking noticed: No, Yes
	Headache           // morning headache: No, Yes
	SettingLeft        // whole steps counted from fitting day, the left or only side
	SettingRight       // the right side of a two-sided appliance
	Wrong              // anything wrong this evening: No, Yes
	Unusual            // what made the night unusual: UsualNight and on
	New                // anything new, over the last 7 days: NewNothing and on
	HeadacheDays       // mornings with a headache, over the last 7 days: DaysOne and on
	NumFields
)

// A patient's talk and a night's entry keep a bit per field, 32 of them.
const _ = uint(32 - NumFields)

// rows is the one table of the fields. How a field is asked, labelled, read,
// read back, kept, shown and exported follows from its row; its texts stand
// under its name in the catalogues, and how it is typed in the dictionaries.
var rows = filled([NumFields]Row{
	Worn: {Name: "worn", Column: "worn", Kind: Choice, Words: []string{"no", "part", "all"}, Advice: true},
	WornMinutes: {Name: "wornminutes", Column: "hours", Kind: Hours, Most: 24 * 60, Said: 16 * 60, With: Worn,
		Advice: true},
	NotWorn: {Name: "notworn", Column: "reason_not_worn", Kind: Choice, Least: ReasonForgot, With: Worn, Advice: true,
		Words: []string{"forgot", "pain", "discomfort", "ill", "away", "broken", "advised", "other", "out_by_morning",
			"not_known", "other_therapy"}},
	Snoring: {Name: "snoring", Column: "snoring", Kind: Scale, Advice: true},
	Reporter: {Name: "reporter", Column: "reporter", Kind: Choice, Least: ReporterPartner, With: Snoring, Advice: true,
		Words: []string{"partner", "self", "recorder", "nobody"}},
	Pain:  {Name: "pain", Column: "pain", Kind: Scale, Advice: true},
	Woken: {Name: "woken", Column: "woken_by_pain", Kind: YesNo, With: Pain, Advice: true},
	Where: {Name: "where", Column: "where", Kind: Choice, Least: SiteJoint, With: Pain,
		Words: []string{"joint", "muscle", "tooth", "gum", "other"}},
	Gone: {Name: "gone", Column: "pain_gone", Kind: Choice, Least: GoneMorning, With: Pain, Advice: true,
		Words: []string{"morning", "midday", "afternoon", "no"}},
	Guide: {Name: "guide", Column: "guide", Kind: YesNo, Advice: true},
	GuideMinutes: {Name: "guideminutes", Column: "guide_minutes", Kind: Minutes, Most: 24 * 60, Said: 4 * 60, With: Guide,
		Advice: true},
	Bite: {Name: "bite", Column: "bite", Kind: Choice, Least: BiteBoth, Advice: true,
		Words: []string{"both", "one", "front", "unsure"}},
	BiteMinutes: {Name: "biteminutes", Column: "bite_minutes", Kind: Minutes, Most: BiteNot, Never: "not", With: Bite,
		Advice: true},
	Nose:       {Name: "nose", Column: "nose_clear", Kind: YesNo, About: Tonight},
	Sleepiness: {Name: "sleepiness", Column: "sleepiness", Kind: Scale, About: Tonight, Advice: true},
	Driving: {Name: "driving", Column: "driving", Kind: Choice, About: Tonight, Advice: true,
		Words: []string{"no", "nearly", "yes", "did_not_drive"}},
	Pauses:       {Name: "pauses", Column: "pauses", Kind: YesNo, About: Tonight, Advice: true},
	Headache:     {Name: "headache", Column: "headache", Kind: YesNo, About: Tonight, Advice: true},
	SettingLeft:  {Name: "settingleft", Column: "setting_left", Kind: Setting, About: AsTurned, Advice: true},
	SettingRight: {Name: "settingright", Column: "setting_right", Kind: Setting, About: AsTurned, Advice: true},
	Wrong:        {Name: "wrong", Column: "wrong", Kind: YesNo, About: Tonight, Advice: true},
	Unusual: {Name: "unusual", Column: "unusual", Kind: Choice, With: Snoring, Advice: true,
		Words: []string{"no", "alcohol", "cold", "back", "other"}},
	New: {Name: "new", Column: "anything_new", Kind: Choice, About: Tonight, Advice: true,
		Words: []string{"nothing", "dental", "tablets", "pregnancy", "weight"}},
	HeadacheDays: {Name: "headachedays", Column: "headache_mornings", Kind: Choice, Least: DaysOne, With: Headache,
		About: Tonight, Advice: true, Words: []string{"one", "two", "three_or_more"}},
})

// Row is what is fixed about one field.
type Row struct {
	Name   string   // in keys of the catalogues ("field.pain", "label.pain", "ask.pain") and in the dictionaries
	Column string   // in a diary table
	Kind   Kind     // what its answers are
	Least  int      // the least answer
	Most   int      // the greatest; a Choice's follows from its words
	Said   int      // the greatest that is believed where a person says it; Most where 0
	Words  []string // of a Choice: its answers in a diary table, from Least on
	Never  string   // of Minutes: what Most is called in a diary table where it means "not at all"
	With   Field    // the question it is said along with; its own where there is none
	About  Half     // whose night it is about
	Advice bool     // whether it can change tonight's advice
}

// Kind says what a field's answers are.
type Kind uint8

// The kinds. A Scale is 0 to 10, a Setting -99 to 999.
const (
	Choice  Kind = iota + 1 // one of several answers, each with words of its own
	YesNo                   // No or Yes
	Scale                   // 0, none, to 10, the worst
	Minutes                 // a length of time
	Hours                   // a length of time, kept in minutes, that is said in hours
	Setting                 // a setting of the appliance
)

// Half says whose night an answer is about where nothing else says so.
type Half uint8

// The halves.
const (
	LastNight Half = iota // the night that led to this morning
	Tonight               // the evening it is said on
	AsTurned              // tonight once the appliance is turned, last night until then
)

// filled gives the rows the bounds that follow from their kind.
func filled(rows [NumFields]Row) [NumFields]Row {
	for f := range rows {
		r := &rows[f]
		switch r.Kind {
		case Choice:
			r.Most = r.Least + len(r.Words) - 1
		case YesNo:
			r.Most, r.Words = Yes, []string{"no", "yes"}
		case Scale:
			r.Most = 10
		case Setting:
			r.Least, r.Most = -99, 999
		}
		if r.Said == 0 {
			r.Said = r.Most
		}
		if r.With == NoField {
			r.With = Field(f)
		}
	}
	return rows
}

// Row returns what is fixed about the field; for what is no field, a row
// without a name.
func (f Field) Row() *Row {
	if f >= NumFields {
		f = NoField
	}
	return &rows[f]
}

// Named finds the field of a name, as keys and dictionaries have it.
func Named(name string) (Field, bool) {
	for f := NoField + 1; f < NumFields; f++ {
		if rows[f].Name == name {
			return f, true
		}
	}
	return NoField, false
}

// Takes reports whether a value can be an answer of the field. Unknown and
// Skipped can.
func (f Field) Takes(v Answer) bool {
	r := f.Row()
	return !v.Known() || v.N() >= r.Least && v.N() <= r.Most
}

// Timed reports whether the answers are lengths of time.
func (k Kind) Timed() bool { return k == Minutes || k == Hours }

// Worded reports whether an answer has words of its own, and no number in them.
func (r *Row) Worded(v Answer) bool {
	return r.Kind == Choice || r.Kind == YesNo || r.Never != "" && v.Is(r.Most)
}
