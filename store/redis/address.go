package redis

import (
	"errors"
	"fmt"
	"net"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"
	"github.com/redis/go-redis/v9/maintnotifications"
)

// options are what an address says.
type options struct {
	client    *redis.UniversalOptions
	where     string // the address without user and password
	everysec  bool   // a sync every second was asked for by name
	ephemeral bool   // a store that keeps nothing was asked for by name
	replicas  int    // how many replicas must have a commit before it counts

	ca, cert, key string // paths of what TLS needs
}

// unsaid stands for a number of replicas that the address does not name: one
// where a master can be replaced while we run, none where there is no other.
const unsaid = -1

// errAddress says what an address may look like. It never repeats the address,
// which may hold a password.
var errAddress = errors.New("the store's address must be " +
	"redis://[user:password@]host[:port][,host[:port]...][/number], " +
	"redis+sentinel://host[,host...]?master=name, or redis+unix:///path for a socket; rediss:// and rediss+sentinel:// go over TLS; " +
	"behind ? may stand db=number, fsync=everysec, keep=nothing, replicas=number, cluster=1, sentinel-user=, sentinel-password=, " +
	"and, for TLS, ca=path, cert=path and key=path")

// Parse reads an address. Several hosts are a Cluster, or the Sentinels of one master.
func Parse(address string) (options, error) {
	scheme, rest, ok := strings.Cut(address, "://")
	if !ok {
		return options{}, errAddress
	}
	rest, queryText, _ := strings.Cut(rest, "?")
	query, err := url.ParseQuery(queryText)
	if err != nil {
		return options{}, errAddress
	}
	o := options{replicas: unsaid, client: &redis.UniversalOptions{
		Protocol:                 3,
		MaxRetries:               -1, // a script is run again by us alone, with its token
		MaxRedirects:             -1, // of a Cluster's client, which would also send again what broke off
		DialerRetries:            1,
		DialTimeout:              2 * time.Second,
		ReadTimeout:              5 * time.Second,
		ContextTimeoutEnabled:    true,
		PoolSize:                 64,
		PipelinePoolSize:         -1,
		DisableIdentity:          true,
		MaintNotificationsConfig: &maintnotifications.Config{Mode: maintnotifications.ModeDisabled},
	}}
	if at := strings.LastIndex(rest, "@"); at >= 0 {
		user, password, _ := strings.Cut(rest[:at], ":")
		if o.client.Username, err = url.PathUnescape(user); err != nil {
			return options{}, errAddress
		}
		if o.client.Password, err = url.PathUnescape(password); err != nil {
			return options{}, errAddress
		}
		rest = rest[at+1:]
	}
	if err := o.settings(query); err != nil {
		return options{}, err
	}
	hosts, db, _ := strings.Cut(rest, "/")
	switch {
	case scheme == "redis+unix":
		if db == "" || hosts != "" {
			return options{}, errAddress
		}
		o.client.Addrs, o.where, o.replicas = []string{"/" + db}, "/"+db, max(o.replicas, 0)
		return o, nil
	case scheme == "redis+sentinel" && o.client.MasterName != "", scheme == "redis" && o.client.MasterName == "":
		if o.ca+o.cert+o.key != "" {
			return options{}, errAddress // meant for TLS, which this is not
		}
	case scheme == "rediss+sentinel" && o.client.MasterName != "", scheme == "rediss" && o.client.MasterName == "":
		if o.client.TLSConfig, err = secure(o.ca, o.cert, o.key); err != nil {
			return options{}, err
		}
	default:
		return options{}, errAddress
	}
	port := "6379"
	if o.client.MasterName != "" {
		port = "26379"
	}
	for host := range strings.SplitSeq(hosts, ",") {
		if host == "" {
			return options{}, errAddress
		}
		if _, _, err := net.SplitHostPort(host); err != nil {
			host = net.JoinHostPort(strings.Trim(host, "[]"), port)
		}
		o.client.Addrs = append(o.client.Addrs, host)
	}
	if o.replicas == unsaid {
		o.replicas = 0
		if (o.cluster() || o.client.MasterName != "") && !o.ephemeral {
			o.replicas = 1
		}
	}
	o.where = strings.Join(o.client.Addrs, ",")
	if db != "" {
		if o.client.DB, err = strconv.Atoi(db); err != nil || o.client.DB < 0 {
			return options{}, errAddress
		}
		if o.cluster() && o.client.DB != 0 {
			return options{}, errors.New("a Cluster has no numbered databases: leave the number out of the store's address")
		}
	}
	return o, nil
}

// settings reads what stands behind the question mark.
func (o *options) settings(query url.Values) error {
	for key, values := range query {
		value := values[len(values)-1]
		switch {
		case key == "fsync" && value == "everysec":
			o.everysec = true
		case key == "keep" && value == "nothing":
			o.ephemeral = true
		case key == "cluster" && value == "1":
			o.client.IsClusterMode = true
		case key == "db":
			db, err := strconv.Atoi(value)
			if err != nil || db < 0 {
				return errAddress
			}
			o.client.DB = db
		case key == "replicas":
			n, err := strconv.Atoi(value)
			if err != nil || n < 0 {
				return errAddress
			}
			o.replicas = n
		case key == "ca":
			o.ca = value
		case key == "cert":
			o.cert = value
		case key == "key":
			o.key = value
		case key == "master" && value != "":
			o.client.MasterName = value
		case key == "sentinel-user":
			o.client.SentinelUsername = value
		case key == "sentinel-password":
			o.client.SentinelPassword = value
		default:
			return fmt.Errorf("the store's address has a setting it does not know: %w", errAddress)
		}
	}
	return nil
}

func (o *options) cluster() bool {
	return o.client.MasterName == "" && (o.client.IsClusterMode || len(o.client.Addrs) > 1)
}
