package transport

import (
	"github.com/labstack/echo/v4"

	"saltwright/internal/entity"
	"saltwright/internal/install"
)

// keepForEver is what caches may do with a file whose address has its version.
const keepForEver = "public, max-age=31536000, immutable"

// installable are the files that the clients are installed from, by their path.
func installable(offer *install.Offer) map[string]echo.HandlerFunc {
	out := map[string]echo.HandlerFunc{}
	for _, d := range offer.Documents {
		send, caching := fixed(entity.New(d.Media, d.Body)), keepAnHour
		if d.Lasting {
			caching = keepForEver
		}
		out[d.Path] = func(c echo.Context) error {
			c.Response().Header().Set(cacheControl, caching)
			return send(c)
		}
	}
	return out
}
