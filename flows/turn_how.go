package flows

import (
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// how shows a card, or the list of them.
func (t *turn) how(topic reading.Topic) {
	if topic == reading.NoTopic || topic >= reading.NumTopics {
		t.say("how.which").Choices = t.cardRows()
		return
	}
	if t.withholds(topic) {
		t.reply(t.staysOut()...)
	} else {
		t.showCard(topic)
	}
	t.goOn()
}

// withholds reports whether a card tells what is not to be done: nobody puts it in, or turns it, while a flag leaves it out.
func (t *turn) withholds(topic reading.Topic) bool {
	return (topic == reading.HowPutIn || topic == reading.HowStep) && t.p.Course.LeftOut()
}

// showCard shows a card, the practice's own or ours. What is asked has a person's number under it.
func (t *turn) showCard(topic reading.Topic) {
	lines, media, of := t.howCard(topic)
	switch topic {
	case reading.HowMouth, reading.HowCold: // what is common may be the beginning of what is not
		lines = append(lines, message.Say("howto."+topic.String()+".danger", t.numbers()...))
	}
	if topic.Asked() {
		lines = append(lines, message.Say("howto.ask", t.numbers()...))
	} else {
		t.p.Talk.Cards |= 1 << topic
	}
	m := t.reply(lines...)
	m.Media, m.MediaOf = media, of
}

// howCard is the practice's own card in the patient's language where it has
// one, else the general words.
func (t *turn) howCard(topic reading.Topic) (lines []message.Line, media, of string) {
	for _, c := range t.pr.Cards {
		if c.Topic == topic && c.Lang == t.p.Lang && (c.Text != "" || c.File != "") {
			if c.Text != "" {
				lines = append(lines, message.Say("how.own", message.ArgS("text", c.Text)))
			} else {
				lines = append(lines, message.Say("topic."+topic.String()))
			}
			if c.File != "" {
				media, of = "howto."+topic.String(), c.File
			}
			return lines, media, of
		}
	}
	return t.p.HowTo(topic), "", ""
}

// has reports whether a card concerns this patient's appliance.
func (t *turn) has(topic reading.Topic) bool {
	switch topic {
	case reading.HowLipSeal:
		return t.p.Appliance.LipSeal
	case reading.HowGuide:
		return t.p.Appliance.Guide
	}
	return topic != reading.NoTopic && topic < reading.NumTopics
}

// cardRows are quick answers for all cards that concern this appliance.
func (t *turn) cardRows() [][]message.Choice {
	var rows [][]message.Choice
	for topic := reading.HowPutIn; topic < reading.NumTopics; topic++ {
		c := message.Choice{Word: reading.WordHow, Topic: topic}
		switch n := len(rows); {
		case !t.has(topic):
		case topic.Asked() && topic > reading.HowFaster && len(rows[n-1]) == 1: // two a row: they are many
			rows[n-1] = append(rows[n-1], c)
		default:
			rows = append(rows, []message.Choice{c})
		}
	}
	return rows
}

// offerCards puts cards as quick answers under the message of this turn, each
// card once.
func (t *turn) offerCards(topics ...reading.Topic) {
	var rows [][]message.Choice
	for _, topic := range topics {
		if t.has(topic) && t.p.Talk.Cards&(1<<topic) == 0 {
			rows = append(rows, []message.Choice{{Word: reading.WordHow, Topic: topic}})
		}
	}
	if len(rows) > 0 {
		m := t.reply()
		m.Choices = append(m.Choices, rows...)
	}
}
