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
	o := options{replicas: unsaid, client: client()}
	if rest, err = o.user(rest); err != nil {
		return options{}, err
	}
	if err := o.settings(query); err != nil {
		return options{}, err
	}
	hosts, number, _ := strings.Cut(rest, "/")
	if scheme == "redis+unix" {
		if number == "" || hosts != "" {
			return options{}, errAddress
		}
		path := "/" + number
		o.client.Addrs, o.where, o.replicas = []string{path}, path, max(o.replicas, 0)
		return o, nil
	}
	if err := o.scheme(scheme); err != nil {
		return options{}, err
	}
	if err := o.hosts(hosts); err != nil {
		return options{}, err
	}
	if err := o.database(number); err != nil {
		return options{}, err
	}
	if o.replicas == unsaid {
		o.replicas = 0
		if (o.cluster() || o.client.MasterName != "") && !o.ephemeral {
			o.replicas = 1
		}
	}
	return o, nil
}

// client are the settings of the client that no address changes.
func client() *redis.UniversalOptions {
	return &redis.UniversalOptions{
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
	}
}

// user takes "user:password@" off the front, and returns what is left.
func (o *options) user(rest string) (string, error) {
	at := strings.LastIndex(rest, "@")
	if at < 0 {
		return rest, nil
	}
	user, password, _ := strings.Cut(rest[:at], ":")
	var err error
	if o.client.Username, err = url.PathUnescape(user); err != nil {
		return "", errAddress
	}
	if o.client.Password, err = url.PathUnescape(password); err != nil {
		return "", errAddress
	}
	return rest[at+1:], nil
}

// scheme reads whether TLS and Sentinels are asked for; the rest of the address
// must agree with it.
func (o *options) scheme(scheme string) (err error) {
	base, tls := scheme, false
	if rest, ok := strings.CutPrefix(scheme, "rediss"); ok {
		base, tls = "redis"+rest, true
	}
	switch {
	case base != "redis" && base != "redis+sentinel", (base == "redis+sentinel") != (o.client.MasterName != ""):
		return errAddress
	case tls:
		o.client.TLSConfig, err = secure(o.ca, o.cert, o.key)
	case o.ca+o.cert+o.key != "":
		return errAddress // meant for TLS, which this is not
	}
	return err
}

// hosts reads one host or several, each with its port or the usual one.
func (o *options) hosts(hosts string) error {
	port := "6379"
	if o.client.MasterName != "" {
		port = "26379"
	}
	for host := range strings.SplitSeq(hosts, ",") {
		if host == "" {
			return errAddress
		}
		if _, _, err := net.SplitHostPort(host); err != nil {
			host = net.JoinHostPort(strings.Trim(host, "[]"), port)
		}
		o.client.Addrs = append(o.client.Addrs, host)
	}
	o.where = strings.Join(o.client.Addrs, ",")
	return nil
}

// database reads the number behind the slash, if there is one.
func (o *options) database(number string) error {
	if number == "" {
		return nil
	}
	if err := count(number, &o.client.DB); err != nil {
		return err
	}
	if o.cluster() && o.client.DB != 0 {
		return errors.New("a Cluster has no numbered databases: leave the number out of the store's address")
	}
	return nil
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
			if err := count(value, &o.client.DB); err != nil {
				return err
			}
		case key == "replicas":
			if err := count(value, &o.replicas); err != nil {
				return err
			}
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

// count reads a whole number that is not negative.
func count(text string, to *int) (err error) {
	if *to, err = strconv.Atoi(text); err != nil || *to < 0 {
		return errAddress
	}
	return nil
}

func (o *options) cluster() bool {
	return o.client.MasterName == "" && (o.client.IsClusterMode || len(o.client.Addrs) > 1)
}
