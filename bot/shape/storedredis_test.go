package shape

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"duskdawn/bot/setup"

	"github.com/redis/go-redis/v9"
)

// dumpRedis writes every key out as the commands that make it, quoted, a line each.
func dumpRedis(t *testing.T, address string) []byte {
	t.Helper()
	c := redisClient(t, address)
	defer c.Close()
	keys, err := c.Keys(t.Context(), "*").Result()
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(keys)
	var b strings.Builder
	line := func(words ...string) {
		for i, w := range words {
			words[i] = strconv.QuoteToASCII(w)
		}
		b.WriteString(strings.Join(words, " ") + "\n")
	}
	for _, key := range keys {
		kind, err := c.Type(t.Context(), key).Result()
		if err != nil {
			t.Fatal(err)
		}
		switch kind {
		case "hash":
			all, err := c.HGetAll(t.Context(), key).Result()
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range sorted(all) {
				line("HSET", key, f, all[f])
			}
		case "list":
			all, err := c.LRange(t.Context(), key, 0, -1).Result()
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range all {
				line("RPUSH", key, v)
			}
		case "set":
			all, err := c.SMembers(t.Context(), key).Result()
			if err != nil {
				t.Fatal(err)
			}
			slices.Sort(all)
			for _, v := range all {
				line("SADD", key, v)
			}
		case "zset":
			all, err := c.ZRangeWithScores(t.Context(), key, 0, -1).Result()
			if err != nil {
				t.Fatal(err)
			}
			for _, z := range all {
				line("ZADD", key, strconv.FormatFloat(z.Score, 'f', -1, 64), z.Member.(string))
			}
		case "string":
			if strings.Contains(key, ":receipt:") { // kept a minute, for who lost an answer
				continue
			}
			v, err := c.Get(t.Context(), key).Result()
			if err != nil {
				t.Fatal(err)
			}
			line("SET", key, v)
		}
	}
	return []byte(b.String())
}

// loadRedis runs what dumpRedis wrote.
func loadRedis(t *testing.T, address string, dump []byte) {
	t.Helper()
	c := redisClient(t, address)
	defer c.Close()
	if err := c.FlushAll(t.Context()).Err(); err != nil { // the form's mark, written when it was opened first
		t.Fatal(err)
	}
	pipe := c.Pipeline()
	for _, line := range strings.Split(strings.TrimSpace(string(dump)), "\n") {
		var args []any
		for rest := line; rest != ""; rest = strings.TrimPrefix(rest, " ") {
			word, err := strconv.QuotedPrefix(rest)
			if err != nil {
				t.Fatal(err)
			}
			rest = rest[len(word):]
			if word, err = strconv.Unquote(word); err != nil {
				t.Fatal(err)
			}
			args = append(args, word)
		}
		pipe.Do(t.Context(), args...)
	}
	if _, err := pipe.Exec(t.Context()); err != nil {
		t.Fatal(err)
	}
}

func redisClient(t *testing.T, address string) *redis.Client {
	t.Helper()
	o, err := redis.ParseURL(setup.Secret(address).Reveal())
	if err != nil {
		t.Fatal(err)
	}
	return redis.NewClient(o)
}
