package flows

import (
	"slices"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

func TestStopPausesAtOnceThenAsks(t *testing.T) {
	l := active(t).word(reading.WordStop)
	if l.p.Course.State != chart.Paused || l.must(WhyStop).Class != redflag.ClassN {
		t.Fatalf("state %v", l.p.Course.State)
	}
	l.want(0, "stop.done").want(0, "stop.ask")
	silent := *l
	silent.p.Talk = l.p.Talk
	messages := *l
	messages.press("1").want(0, "stop.messages")
	if messages.p.Course.State != chart.Paused {
		t.Errorf("messages stopped: state %v", messages.p.Course.State)
	}
	messages.word(reading.WordResume).want(0, "pause.over")
	if messages.p.Course.State != chart.Settling {
		t.Errorf("resumed: state %v", messages.p.Course.State)
	}
	turning := *l
	turning.say("2", reading.Reading{Bare: chart.Num(2)}).want(0, "stop.turning")
	if by := turning.p.HeldBy; by.By != "patient" || by.At != turning.now {
		t.Errorf("held by %+v", by)
	}
	if turning.p.Course.State != chart.Settling || !turning.p.Held {
		t.Errorf("turning stopped: state %v, held %v", turning.p.Course.State, turning.p.Held)
	}
	treatment := *l
	treatment.press("3").want(0, "stop.treatment").want(0, "stop.fallback")
	if treatment.p.Course.State != chart.Paused {
		t.Errorf("treatment stopped: state %v", treatment.p.Course.State)
	}
	silent.later(1440 * 7).on(Due{Name: "paused"})
	if silent.p.Course.State != chart.Paused || silent.open(WhyPause) == nil {
		t.Error("no answer did not stay paused, or reached nobody")
	}
}

func TestPauseKeepsAnOpenFlag(t *testing.T) {
	l := active(t).say("piece came off", reading.Reading{Features: reading.FBroken}).word(reading.WordPause)
	l.want(0, "pause.done")
	l.word(reading.WordResume)
	if l.p.Course.State != chart.Stopped || l.open("piece.broken") == nil {
		t.Errorf("state %v after the pause", l.p.Course.State)
	}
}

func TestWords(t *testing.T) {
	for _, x := range []struct {
		word reading.Word
		key  string
	}{
		{reading.WordHelp, "help.unwatched"}, {reading.WordHelp, "help.emergency"}, {reading.WordHelp, "help.net"}, {reading.WordToday, "tonight.wait"}, {reading.WordCall, "call.told"},
		{reading.WordHow, "how.which"}, {reading.WordDiary, "diary.head"}, {reading.WordData, "data.here"}, {reading.WordLeave, "leave.ask"}, {reading.WordLanguage, "lang.ask"},
		{reading.WordThanks, "hello.thanks"}, {reading.WordHello, "hello.text"}, {reading.WordNotNow, "now.none"}, {reading.WordResume, "pause.none"}, {reading.WordQueue, "help.unasked"},
	} {
		active(t).later(60).word(x.word).want(0, x.key)
	}
}

func TestOwnDataAndLeaving(t *testing.T) {
	l := active(t).word(reading.WordData)
	sent := slices.ContainsFunc(l.out, func(x Effect) bool {
		s, ok := x.(Send)
		return ok && s.Msg.Media == "diary.csv" && s.Msg.Subject == l.p.ID && s.Once
	})
	if !sent {
		t.Error("no table was sent")
	}
	l.word(reading.WordLeave).press("no").want(0, "leave.stay")
	if l.p.Course.State != chart.Settling {
		t.Errorf("state %v", l.p.Course.State)
	}
	l.word(reading.WordLeave).press("yes").want(0, "leave.passed")
	if l.p.Course.State != chart.Paused || l.must(WhyLeave).Class != redflag.ClassN {
		t.Errorf("state %v", l.p.Course.State)
	}
}

func TestOtherTextReachesTheDesk(t *testing.T) {
	l := active(t).say("the case is too small", reading.Reading{Rest: true}).want(0, "pass.told").want(0, "when.read")
	if esc := l.must(WhyMessage); esc.Quote != "the case is too small" {
		t.Errorf("quoted %q", esc.Quote)
	}
	l = active(t).say("🙂🙂", reading.Reading{Symbols: true}).want(0, "help.short")
	if l.open(WhyMessage) != nil {
		t.Error("symbols were passed on")
	}
}

func TestVoiceAndPictures(t *testing.T) {
	l := active(t).on(Other{Chat: chatPatient, Gen: 1, Kind: "sticker"}).want(0, "other.type")
	if l.open(WhyOther) != nil {
		t.Error("a sticker with nothing open was passed on")
	}
	l.on(Other{Chat: chatPatient, Gen: 1, Kind: "voice"}).want(0, "other.passed").want(0, "safety.ask")
	if l.open(WhyOther) == nil {
		t.Error("a voice message reaches nobody")
	}
	l.say("piece came off", reading.Reading{Features: reading.FBroken}).on(Other{Chat: chatPatient, Gen: 1,
		Kind: "photo"}).want(0, "other.passed")
	if l.must(WhyOther).Class != redflag.ClassN {
		t.Error("a picture beside a red flag was not passed on")
	}
}

func TestHowToCards(t *testing.T) {
	l := active(t)
	l.say("how", reading.Reading{Word: reading.WordHow, Topic: reading.HowPutIn}).want(0, "howto.putin").want(0,
		"howto.chair")
	l.pr.Cards = []practice.Card{{Topic: reading.HowPutIn, Lang: "en", Text: "Our way.", File: "put.jpg"}}
	l.say("how", reading.Reading{Word: reading.WordHow, Topic: reading.HowPutIn}).want(0, "how.own").wantNot(0,
		"howto.putin")
	l.p.Lang = "es" // no card of the practice's own in this language
	l.say("cómo", reading.Reading{Word: reading.WordHow, Topic: reading.HowPutIn}).want(0, "howto.putin")
	l.word(reading.WordHow)
	for _, x := range l.out {
		if s, ok := x.(Send); ok {
			for _, row := range s.Msg.Choices {
				if row[0].Topic == reading.HowLipSeal {
					t.Error("a card for a part this appliance does not have")
				}
			}
		}
	}
}

func TestLanguage(t *testing.T) {
	l := active(t).word(reading.WordLanguage).on(Tap{Chat: chatPatient, Gen: 1, Op: opLang, Arg: "es"}).want(0, "lang.set")
	if l.p.Lang != "es" {
		t.Errorf("language %q", l.p.Lang)
	}
	l.on(Tap{Chat: chatPatient, Gen: 1, Op: opLang, Arg: "xx"}).want(0, "tap.old")
	if l.p.Lang != "es" {
		t.Errorf("language %q", l.p.Lang)
	}
}

func TestBounceAndBack(t *testing.T) {
	l := active(t).on(Bounce{Chat: chatPatient, Why: "blocked"})
	if !l.p.Bounced || l.must(WhyBounce).Class != redflag.ClassN || l.p.Course.State != chart.Settling {
		t.Fatalf("bounced %v, state %v", l.p.Bounced, l.p.Course.State)
	}
	l.on(Reached{Chat: chatPatient}).want(0, "back.hello")
	if l.p.Bounced || l.open(WhyBounce) != nil {
		t.Error("still out of reach")
	}
	l.on(Bounce{Chat: chatOther})
	if l.p.Bounced {
		t.Error("another chat's bounce counted")
	}
}

// A chat that is closed to a caution: people are to call, by the outside call too
// with an emergency, and whoever writes again hears it, once.
func TestACautionThatAClosedChatDoesNotTake(t *testing.T) {
	for _, c := range []struct {
		said      reading.Features
		flag, key string
		called    bool
	}{{reading.FChest, "chest", emergencyLine, true}, {reading.FPain, "pain.severe", "caution.pain.severe", false}} {
		for name, back := range map[string]Body{"writes": Said{Text: "hello", Reading: reading.Reading{Word: reading.WordHello}},
			"opens it": Reached{Chat: chatPatient}} {
			t.Run(c.flag+", "+name, func(t *testing.T) {
				l := active(t).say("words", reading.Reading{Features: c.said})
				if l.must(c.flag).Heard {
					t.Fatal("told already")
				}
				l.on(Bounce{Chat: chatPatient, Why: "forbidden"}).want(chatClin, "esc.undelivered").want(chatAsst, "esc.undelivered")
				if called := slices.ContainsFunc(l.out, func(x Effect) bool { _, is := x.(Call); return is }); called != c.called {
					t.Errorf("the outside call is made: %v", called)
				}
				if s, ok := back.(Said); ok {
					s.Chat, s.Gen = chatPatient, l.p.Gen
					back = s
				}
				l.on(back).want(0, c.key)
				key := ""
				for _, x := range l.out {
					if s, ok := x.(Send); ok && s.Chat == 0 && s.Lane == LaneUrgent {
						key = s.Key
					}
				}
				l.on(Delivered{Key: key})
				if !l.must(c.flag).Heard {
					t.Errorf("delivered by %q, it does not count as told", key)
				}
				l.on(Bounce{Chat: chatPatient, Why: "forbidden"})
				if slices.Contains(l.heard(chatClin), "esc.undelivered") {
					t.Error("what was told is to be told")
				}
				if l.on(back); slices.Contains(l.heard(0), c.key) && c.called {
					t.Error("it is told twice")
				}
			})
		}
	}
}

func TestGapAsksAgain(t *testing.T) {
	l := joined(t).on(Gap{Minutes: 2})
	if len(l.heard(0)) > 0 {
		t.Error("two minutes are no gap")
	}
	nonce := l.p.Talk.Nonce
	l.on(Gap{Minutes: 3}).want(0, "gap.again").want(0, "consent.adult")
	if l.p.Talk.Nonce == nonce {
		t.Error("the question has no new nonce")
	}
	active(t).on(Gap{Minutes: 3}).wantNot(0, "gap.again")
}

func TestZoneChangesAtTheBoundary(t *testing.T) {
	l := active(t).order("sasst", Order{Op: OrderMove, Zone: "America/Lima", Lang: "es"})
	if l.p.Zone != "UTC" || l.p.ZoneNext != "America/Lima" || l.p.Lang != "es" {
		t.Fatalf("zone %q, next %q, language %q", l.p.Zone, l.p.ZoneNext, l.p.Lang)
	}
	if at, ok := l.timer("zone"); !ok || at.At != (civil.Wall{Date: monday(), Clock: civil.Noon}) {
		t.Errorf("timer %+v", at)
	}
	l.now = civil.Wall{Date: monday(), Clock: civil.Noon}
	l.on(Due{Name: "zone"}).want(0, "zone.now")
	if l.p.Zone != "America/Lima" || l.p.ZoneNext != "" {
		t.Errorf("zone %q, next %q", l.p.Zone, l.p.ZoneNext)
	}
}

// What is asked anew, though it was answered, stays asked when something else comes between.
func TestAskedAnewStaysAsked(t *testing.T) {
	l := active(t)
	l.now = civil.Wall{Date: monday() + 1, Clock: 7 * 60}
	l.on(Due{Name: "morning", Scheduled: l.now})
	l.say("pain 1", reading.Reading{Tokens: []reading.Token{{Field: chart.Pain, Value: chart.Num(1)}}})
	l.say("it was more, really", reading.Reading{Tokens: []reading.Token{{Field: chart.Pain}}, Rest: true}).want(0, "ask.pain")
	l.word(reading.WordDiary).want(0, "ask.pain")
}
