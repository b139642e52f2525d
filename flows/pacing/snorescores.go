package pacing

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Heard keeps the newest four snoring scores of each reporter at each setting,
// for nights that are no longer remembered: P17 compares four with four. Each
// is packed: setting in bits 24-31, reporter in 20-23, the scores in four
// nibbles, the newest lowest; a nibble is a score and one, 0 for none.

const PoolNights = 4 // nights before a snoring score is read: doi 10.1111/j.1749-4486.2010.02127.x

// pool gathers scores up to four.
type pool struct{ n, sum int }

func (p *pool) add(score int) {
	if p.n < PoolNights {
		p.n++
		p.sum += score
	}
}

func (p *pool) full() bool { return p.n >= PoolNights }

func heardKey(at chart.Steps, by chart.Answer) uint32 {
	return uint32(uint8(at))<<24 | uint32(by.N()&15)<<20 | 1<<16
}

// keepScore keeps a score of a night that leaves the window. When all places
// are taken the lowest setting goes: it is the least likely to be looked at.
func (c *Course) keepScore(at chart.Steps, by chart.Answer, score int) {
	if at < 0 || at > 255 {
		return
	}
	key, place := heardKey(at, by), 0
	for i, h := range c.Heard {
		if h&0xFFFF0000 == key {
			place = i
			break
		}
		if h < c.Heard[place] { // an empty place is lower than any
			place = i
		}
	}
	if old := c.Heard[place]; old&0xFFFF0000 != key {
		if old > key {
			return // everything kept is further forward
		}
		c.Heard[place] = key
	}
	c.Heard[place] = key | c.Heard[place]<<4&0xFFF0 | uint32(score+1)&15
}

// scores adds the reporter's newest scores at a setting, worn nights before a
// date, to a pool: first those remembered, then those kept.
func (c *Course) scores(p *pool, at chart.Steps, by chart.Answer, before civil.Date, least int16) {
	for i := int(c.N) - 1; i >= 0 && !p.full(); i-- {
		e := &c.Nights[i]
		if e.Night >= before || e.Low != at || e.High != at {
			continue
		}
		if n, ok := e.Usable(by, least); ok {
			p.add(n)
		}
	}
	key := heardKey(at, by)
	for _, h := range c.Heard {
		if h&0xFFFF0000 != key || at < 0 || at > 255 {
			continue
		}
		for s := h & 0xFFFF; s != 0 && !p.full(); s >>= 4 {
			p.add(int(s&15) - 1)
		}
	}
}
