package redis

import (
	"slices"
	"testing"
)

// What an address says, and what is said where it says nothing: a commit is
// confirmed by a replica wherever another server may take the master's place.
func TestParse(t *testing.T) {
	for address, want := range map[string]struct {
		addrs    []string
		replicas int
		cluster  bool
		tls      bool
		master   string
		db       int
	}{
		"redis://h":                                    {addrs: []string{"h:6379"}},
		"redis://h:1/3":                                {addrs: []string{"h:1"}, db: 3},
		"redis://h?replicas=2":                         {addrs: []string{"h:6379"}, replicas: 2},
		"redis://a,b:2,c":                              {addrs: []string{"a:6379", "b:2", "c:6379"}, replicas: 1, cluster: true},
		"redis://a,b?replicas=0":                       {addrs: []string{"a:6379", "b:6379"}, cluster: true},
		"redis://a,b?keep=nothing":                     {addrs: []string{"a:6379", "b:6379"}, cluster: true},
		"redis://a?cluster=1":                          {addrs: []string{"a:6379"}, replicas: 1, cluster: true},
		"rediss://a":                                   {addrs: []string{"a:6379"}, tls: true},
		"redis+sentinel://s,t:9/2?master=m":            {addrs: []string{"s:26379", "t:9"}, replicas: 1, master: "m", db: 2},
		"rediss+sentinel://[::1]?master=m&replicas=0":  {addrs: []string{"[::1]:26379"}, master: "m", tls: true},
		"redis+unix:///run/redis.sock?db=4&replicas=1": {addrs: []string{"/run/redis.sock"}, replicas: 1, db: 4},
	} {
		o, err := Parse(address)
		if err != nil {
			t.Errorf("%s: %v", address, err)
			continue
		}
		if !slices.Equal(o.client.Addrs, want.addrs) || o.replicas != want.replicas || o.cluster() != want.cluster ||
			(o.client.TLSConfig != nil) != want.tls ||
			o.client.MasterName != want.master || o.client.DB != want.db {
			t.Errorf("%s: %v, %d replicas, cluster %t, TLS %t, master %q, database %d", address, o.client.Addrs, o.replicas,
				o.cluster(), o.client.TLSConfig != nil, o.client.MasterName, o.client.DB)
		}
		if o.client.MaxRetries != -1 || o.client.MaxRedirects != -1 {
			t.Errorf("%s: the client would send again on its own", address)
		}
	}
	for _, address := range []string{"", "h", "redis://", "redis://a,,b", "redis://h/x", "redis://a,b/1",
		"redis+sentinel://h", "redis://h?master=m", "redis+unix://h/s",
		"redis://h?replicas=-1", "redis://h?replicas=x", "redis://h?fsync=no", "redis://h?ca=/x", "rediss://h?ca=/nowhere", "amqp://h"} {
		if _, err := Parse(address); err == nil {
			t.Errorf("%q passes", address)
		}
	}
}
