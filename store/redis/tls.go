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
		pem, err := os.ReadFile(ca)
		if err != nil {
			return nil, fmt.Errorf("the store's address names authorities (ca) that cannot be read: %w", err)
		}
		c.RootCAs = x509.NewCertPool()
		if !c.RootCAs.AppendCertsFromPEM(pem) {
			return nil, errors.New("the store's address names a file of authorities (ca) that holds no certificate")
		}
	}
	if cert != "" || key != "" {
		own, err := tls.LoadX509KeyPair(cert, key)
		if err != nil {
			return nil, fmt.Errorf("the store's address names a certificate (cert, key) that cannot be used: %w", err)
		}
		c.Certificates = []tls.Certificate{own}
	}
	return c, nil
}
