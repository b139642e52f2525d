package locales

import (
	"fmt"
	"hash/fnv"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// staffTopics are the first words of keys that staff read; other texts are a
// patient's.
var staffTopics = []string{"desk", "enrol", "enrolled", "setup", "rule", "flag", "esc", "order", "form", "command",
	"export", "check", "claim", "why", "figure", "outcome", "undefined", "severity", "hazard", "estimate", "picture", "page", "scene"}

// pieces are the first words of keys that are no sentence of their own.
var pieces = []string{"format", "label", "word", "topic", "field"}

// prose reports whether a message is a sentence that a patient reads.
func (m listed) prose() bool {
	first, _, _ := strings.Cut(m.id, ".")
	return !slices.Contains(staffTopics, first) && !slices.Contains(pieces, first) && !shortKey(m.id)
}

// sample is a message with values in place of its placeholders.
func (m listed) sample() string { return placeholder.ReplaceAllString(m.forms["other"], "5") }

// Patient texts keep to the sixth school grade in English (Flesch-Kincaid; the
// American Medical Association's advice for patient material, from memory) and
// to "fairly easy" in Spanish (INFLESZ 65). One-line messages are too short for
// the formulas, so the whole set of a language is scored.
func TestPatientTextsAreEasy(t *testing.T) {
	w := load(t)
	for _, lang := range w.Languages() {
		syllables := englishSyllables
		if lang == "es" {
			syllables = spanishSyllables
		}
		var c counts
		texts := 0
		for _, m := range catalogue(t) {
			if m.lang != lang || !m.prose() || !strings.ContainsAny(m.sample()[len(m.sample())-1:], ".?!") {
				continue // a fragment would make the score better than it is
			}
			one := countText(m.sample(), syllables)
			c.sentences, c.words, c.syllables = c.sentences+one.sentences, c.words+one.words, c.syllables+one.syllables
			texts++
		}
		switch lang {
		case "en":
			grade, err := c.fleschKincaid()
			if err != nil || grade > 6 {
				t.Errorf("en: grade %.2f over 6, %v", grade, err)
			}
			t.Logf("en: %d texts, %d words, Flesch-Kincaid grade %.2f", texts, c.words, grade)
		case "es":
			score, err := c.inflesz()
			if err != nil || score < 65 {
				t.Errorf("es: INFLESZ %.1f under 65, %v", score, err)
			}
			t.Logf("es: %d texts, %d words, INFLESZ %.1f", texts, c.words, score)
		default:
			t.Errorf("%s has no measure of how easy its texts are", lang)
		}
	}
}

// A patient's line is two sentences, three at most, of twenty words, with one
// question.
func TestPatientTextsAreShort(t *testing.T) {
	for _, m := range catalogue(t) {
		if !m.prose() {
			continue
		}
		text := m.sample()
		c := countText(text, englishSyllables)
		longest := 0
		for _, s := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(".!?", r) }) {
			longest = max(longest, len(strings.Fields(s)))
		}
		if c.sentences > 3 || longest > 20 || strings.Count(text, "?") > 1 {
			t.Errorf("%s.%s %q: %d sentences, the longest of %d words, %d questions: %q",
				m.file, m.lang, m.id, c.sentences, longest, strings.Count(text, "?"), text)
		}
	}
}

// unsaid are words that no text of ours may hold: promises that only a test and
// a physician can make, blame, and the trade's terms in a patient's text.
var unsaid = map[string]struct{ all, patients []string }{
	"en": {
		all:      []string{"cured", "cures", "is treated", "are treated", "safe to drive", "fit to drive", "guarantee"},
		patients: []string{"mandibular", "titration", "titrate", "protrusi", "occlusal", "occlusion", "ahi", "odi", "apnea", "apnoea", "tmj", "tmd", "advancement", "adherence", "compliance", "polysomno", "bruxism", "posterior", "anterior", "escalation", "you failed", "you forgot", "your fault", "you should have", "ibuprofen", "paracetamol", "aspirin", "milligram", " mg", "rule p", "advice number"},
	},
	"es": {
		all:      []string{"curado", "curada", "está tratad", "seguro para conducir", "apto para conducir", "puede conducir sin", "garantiza"},
		patients: []string{"mandibular", "titulación", "protrusi", "oclusal", "oclusión", "iah", "apnea", "atm", "avance mandib", "adherencia", "cumplimiento", "polisomno", "bruxismo", "posterior", "anterior del", "escalación", "usted falló", "olvidó contestar", "su culpa", "debería haber", "ibuprofeno", "paracetamol", "aspirina", "miligramo", " mg", "regla p"},
	},
}

func TestWordsThatAreNotSaid(t *testing.T) {
	for _, m := range catalogue(t) {
		for _, text := range m.forms {
			low := strings.ToLower(text)
			for _, bad := range unsaid[m.lang].all {
				if holds(low, bad) {
					t.Errorf("%s.%s %q says %q: %q", m.file, m.lang, m.id, bad, text)
				}
			}
			if !m.prose() {
				continue
			}
			for _, bad := range unsaid[m.lang].patients {
				if holds(low, bad) {
					t.Errorf("%s.%s %q is for a patient and says %q: %q", m.file, m.lang, m.id, bad, text)
				}
			}
		}
	}
}

// holds reports whether a text holds a word; short ones only as a whole word.
func holds(text, word string) bool {
	if len(word) > 4 || strings.HasPrefix(word, " ") {
		return strings.Contains(text, word)
	}
	return slices.Contains(strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) }), word)
}

// Licensed questionnaires are named with their totals and never quoted. Their
// items are known here only by the hashes of three words in a row (FNV-1a, 64
// bits), so that this file does not quote them either; the words are from memory.
func TestNoQuestionnaireIsQuoted(t *testing.T) {
	items := map[uint64]bool{
		0x01a01b29111cb705: true, 0x072f849df3f2137f: true, 0x08f9a3f28012011e: true, 0x0a974c9084b926ce: true,
		0x0b180fec0d3f17a3: true, 0x0d1ad29cadb5dd47: true, 0x11246c188565f21a: true, 0x1420d85df24fa397: true,
		0x14eb2618fea96d05: true, 0x169f41a9733b79aa: true, 0x17109d987fa9f2b4: true, 0x1747e935f1677ecf: true,
		0x1a10137b268e7de3: true, 0x1af673e9e4e6528b: true, 0x1b70597c72041c16: true, 0x1c9bcc273d32a2f3: true,
		0x2218c9e513ec45ce: true, 0x2d83c41490732e9c: true, 0x3070487421ee44df: true, 0x311b97b6c20ed965: true,
		0x35241ce089c21c3f: true, 0x38b3fe2d3d8da8ec: true, 0x3c0354b20c9f45c3: true, 0x3d9d43e8f95f1b2d: true,
		0x4170bc9a45d34077: true, 0x41d4302664ebea4a: true, 0x46993b73a9b47f82: true, 0x4e30721158d42ca0: true,
		0x571c60cf8c878bc1: true, 0x5885a7e552f51060: true, 0x5a640a6cc290b555: true,
		0x5b2aa448b8630dda: true, 0x5cfd0f86f92fb0f3: true, 0x6235ae39df9adf8e: true, 0x631756a11323595c: true,
		0x640a02ab9941aecd: true, 0x64e62a556e662fd5: true, 0x659112bb95e2da5d: true, 0x691f688dd3c86f51: true,
		0x6e9abe86f998c93c: true, 0x717232881698fe11: true, 0x71b84d85d7433f3e: true, 0x79bb4c9ca62effd8: true,
		0x7da65b5e721c47a5: true, 0x7e93eca768e9c95d: true, 0x81a793384e2aebc7: true, 0x830c5da8de199e7c: true,
		0x91f9e8ae3e267b21: true, 0x943c5abbcc236357: true, 0x955db14699928c8d: true, 0x95c989225de69a9d: true,
		0x9a96a1930cf863bc: true, 0xa14f50f0eb466865: true, 0xa3f4e949e5d68ebe: true, 0xa5c1fa459dd6a33e: true,
		0xaf2f61e9f870e1e1: true, 0xb177f0a4128fae29: true, 0xb228dc6dfef4af0f: true, 0xb52e7356b99d9790: true,
		0xb8d3f7fb2dd51bce: true, 0xb9eb5072d02ce297: true, 0xbf3b54a20ab36ab2: true, 0xc2db50dbc3f738f8: true,
		0xc363b4ac8f83f2bd: true, 0xcce01b48fe03c8ce: true, 0xd0a7aedeae1b1208: true, 0xd5dfdb66db6fa8a3: true,
		0xd772d6810c3dc360: true, 0xda775a1cd9f889cf: true, 0xe3680c99c50161bf: true, 0xe7b61af81e1fe58e: true,
		0xea459f38ecbdedca: true, 0xeb093673adb8267e: true, 0xee46b692efc05abf: true, 0xee4839c534e83ee2: true,
		0xf96c4fd38dab39db: true, 0xfdc32b83ee5a39f8: true, 0xfeaf3126421bc6b4: true, 0xffefeebe09c3ea8c: true,
	}
	for _, m := range catalogue(t) {
		words := strings.FieldsFunc(strings.ToLower(m.sample()), func(r rune) bool { return !unicode.IsLetter(r) })
		for i := 0; i+3 <= len(words); i++ {
			if items[shingle(words[i:i+3])] {
				t.Errorf("%s.%s %q quotes a licensed questionnaire near %q", m.file, m.lang, m.id, words[i:i+3])
			}
		}
	}
	if shingle([]string{"one", "two", "three"}) == shingle([]string{"one", "two", "four"}) {
		t.Error("the hash tells nothing apart")
	}
}

func shingle(words []string) uint64 {
	h := fnv.New64a()
	fmt.Fprint(h, strings.Join(words, " "))
	return h.Sum64()
}

// A prompt begins without a health word: its first words may show on a locked
// screen, for others to read.
func TestPromptsBeginNeutrally(t *testing.T) {
	health := map[string][]string{
		"en": {"pain", "jaw", "snor", "sleep", "bite", "teeth", "tooth", "appliance", "pause", "drowsy", "breath", "swell", "bleed", "nose", "headache", "driv", "worn", "wear"},
		"es": {"dolor", "duele", "mandíbula", "ronc", "ronqu", "sueño", "dorm", "mordida", "diente", "aparato", "respir", "hinch", "sangr", "nariz", "cabeza", "conduc", "manej", "usado", "usó"},
	}
	found := 0
	for _, m := range catalogue(t) {
		if !strings.HasPrefix(m.id, "prompt.") && !strings.HasPrefix(m.id, "remind") {
			continue
		}
		found++
		low := []rune(strings.ToLower(m.sample()))
		for _, word := range health[m.lang] {
			if strings.Contains(string(low[:min(len(low), 60)]), word) {
				t.Errorf("%s.%s %q begins with %q: %q", m.file, m.lang, m.id, word, m.sample())
			}
		}
	}
	t.Logf("%d first lines of prompts", found)
}
