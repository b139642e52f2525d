package redis_test

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"duskdawn/store"
	"duskdawn/store/redis"

	client "github.com/redis/go-redis/v9"
)

// authority is one of the test's own, which signs certificates into a directory.
type authority struct {
	t    *testing.T
	dir  string
	cert *x509.Certificate
	key  *ecdsa.PrivateKey
}

func newAuthority(t *testing.T) *authority {
	a := &authority{t: t, dir: t.TempDir()}
	_, a.cert, a.key = a.sign("ca", &x509.Certificate{IsCA: true, BasicConstraintsValid: true,
		KeyUsage: x509.KeyUsageCertSign})
	return a
}

// sign makes a certificate and its key, and writes both as name.crt and name.key.
func (a *authority) sign(name string, like *x509.Certificate) (path string, cert *x509.Certificate,
	key *ecdsa.PrivateKey) {
	a.t.Helper()
	must := func(err error) {
		a.t.Helper()
		if err != nil {
			a.t.Fatal(err)
		}
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	must(err)
	like.SerialNumber, like.Subject = big.NewInt(time.Now().UnixNano()), pkix.Name{CommonName: name}
	like.NotBefore, like.NotAfter = time.Now().Add(-time.Hour), time.Now().Add(time.Hour)
	parent, signer := like, key
	if a.cert != nil {
		parent, signer = a.cert, a.key
	}
	raw, err := x509.CreateCertificate(rand.Reader, like, parent, &key.PublicKey, signer)
	must(err)
	cert, err = x509.ParseCertificate(raw)
	must(err)
	private, err := x509.MarshalPKCS8PrivateKey(key)
	must(err)
	path = filepath.Join(a.dir, name)
	must(os.WriteFile(path+".crt", pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: raw}), 0o600))
	must(os.WriteFile(path+".key", pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: private}), 0o600))
	return path, cert, key
}

// rules are what the store's user must be allowed at the server, as the README says.
const rules = "on ~duskdawn:* +@all -@admin -@dangerous +config|get +info"

// TestTLS reaches a server over TLS alone, with certificates on both sides and
// as a user who may do no more than the store needs.
func TestTLS(t *testing.T) {
	t.Parallel()
	const word = "the-users-word"
	a := newAuthority(t)
	here := []net.IP{net.IPv4(127, 0, 0, 1)}
	server, _, _ := a.sign("server", &x509.Certificate{IPAddresses: here,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}})
	elsewhere, _, _ := a.sign("elsewhere", &x509.Certificate{DNSNames: []string{"elsewhere.example"},
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}})
	ours, _, _ := a.sign("ours", &x509.Certificate{ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageClientAuth}})
	ca := filepath.Join(a.dir, "ca.crt")

	start := func(certificate string) (socket, port string) {
		port, socket = freePort(t), filepath.Join(t.TempDir(), "s")
		args := []string{"--port", "0", "--tls-port", port, "--bind", "127.0.0.1", "--unixsocket", socket, "--dir",
			t.TempDir(), "--save", "",
			"--appendonly", "yes", "--appendfsync", "always", "--logfile", "log", "--tls-ca-cert-file", ca, "--tls-cert-file", certificate + ".crt", "--tls-key-file", certificate + ".key",
			"--user", "default", "on", "nopass", "~*", "+@all", "--user", "bot", ">" + word}
		cmd, complaint := exec.Command(serverProgram(t), append(args, strings.Fields(rules)...)...), &bytes.Buffer{}
		cmd.Stderr = complaint
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		ended := make(chan struct{})
		go func() { _ = cmd.Wait(); close(ended) }()
		t.Cleanup(func() { _ = cmd.Process.Kill(); <-ended })
		c := client.NewClient(&client.Options{Network: "unix", Addr: socket, MaxRetries: -1})
		defer func() { _ = c.Close() }()
		until(t, "the server answers", func() bool {
			select {
			case <-ended:
				if os.Getenv("DUSKDAWN_NO_SKIP") != "" || !strings.Contains(complaint.String(), "Bad directive") {
					t.Fatalf("redis-server ends by itself: %s", complaint)
				}
				t.Skip("this redis-server knows no TLS: the connection over TLS goes untested here")
			default:
			}
			return c.Ping(t.Context()).Err() == nil
		})
		return socket, port
	}
	_, port := start(server)
	_, port2 := start(elsewhere)
	own := "&cert=" + ours + ".crt&key=" + ours + ".key"
	at := func(port, ca, own string) string {
		return "rediss://bot:" + word + "@127.0.0.1:" + port + "?ca=" + ca + own
	}

	h, err := redis.Open(t.Context(), at(port, ca, own))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = h.Close() })
	for _, w := range writes() {
		if got := w.do(h); fmt.Sprint(got) != fmt.Sprint(w.want) {
			t.Errorf("%s as a user of few rights: %v, want %v", w.name, got, w.want)
		}
	}
	for range h.List(t.Context(), store.Query{Label: "x", Open: true}) {
	}
	_ = remains(t, h)

	strange := newAuthority(t)
	for what, address := range map[string]string{
		"a strange authority":          at(port, filepath.Join(strange.dir, "ca.crt"), own),
		"the machine's authorities":    "rediss://bot:" + word + "@127.0.0.1:" + port + "?" + own[1:],
		"another server's certificate": at(port2, ca, own),
		"no certificate of ours":       at(port, ca, ""),
		"a wrong password":             strings.Replace(at(port, ca, own), word, "x"+word, 1),
		"no TLS":                       "redis://bot:" + word + "@127.0.0.1:" + port,
		"no such file":                 at(port, "/nowhere", own),
		"a key as authority":           at(port, server+".key", own),
		"a certificate without a key":  at(port, ca, "&cert="+ours+".crt"),
		"authorities without TLS":      "redis://bot:" + word + "@127.0.0.1:" + port + "?ca=" + ca,
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel() // each tries for some seconds before it gives up
			h, err := redis.Open(context.Background(), address)
			if err == nil {
				_ = h.Close()
				t.Fatal("it is accepted")
			}
			if text := fmt.Sprintf("%v %+v %#v", err, err, err); strings.Contains(text, word) {
				t.Errorf("an error tells the password: %s", strings.ReplaceAll(text, word, "<SECRET>"))
			}
		})
	}
}
