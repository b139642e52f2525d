package redis

import (
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net/url"
	"os"
	"strings"
)

// KeyFile is the path of the key that an address names for TLS; "" for none.
func KeyFile(address string) string {
	_, settings, _ := strings.Cut(address, "?")
	q, err := url.ParseQuery(settings)
	if err != nil {
		return ""
	}
	return q.Get("key")
}

// secure makes the settings of a connection over TLS: ca is the path of the
// authorities to trust in place of the machine's, cert and key are those of our
// own certificate, which a server asks for unless told not to.
func secure(ca, cert, key string) (*tls.Config, error) {
	c := &tls.Config{MinVersion: tls.VersionTLS12} // the server's name is checked as dialled
	if ca != "" {
		pem, err := pemFile(ca)
		if err != nil {
			return nil, fmt.Errorf("the store's address names authorities (ca) that cannot be read: %w", err)
		}
		c.RootCAs = x509.NewCertPool()
		if !c.RootCAs.AppendCertsFromPEM(pem) {
			return nil, errors.New("the store's address names a file of authorities (ca) that holds no certificate")
		}
	}
	if cert != "" || key != "" {
		open, err1 := pemFile(cert)
		secret, err2 := pemFile(key)
		own, err := tls.X509KeyPair(open, secret)
		if err := errors.Join(err1, err2); err != nil {
			return nil, fmt.Errorf("the store's address names a certificate (cert, key) that cannot be read: %w", err)
		}
		if err != nil {
			return nil, fmt.Errorf("the store's address names a certificate (cert, key) that cannot be used: %w", err)
		}
		c.Certificates = []tls.Certificate{own}
	}
	return c, nil
}

// pemMost is the most bytes of a file of certificates: more than the authorities of
// a whole machine.
const pemMost = 4 << 20

// pemFile reads a file of certificates or a key. What is no regular file is refused
// unopened: a pipe may wait for ever.
func pemFile(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is no regular file", path)
	case info.Size() > pemMost:
		return nil, fmt.Errorf("%s has more than %d bytes", path, pemMost)
	}
	return os.ReadFile(path)
}
