# To pin the toolchain, give it with its digest: --build-arg GO_IMAGE=golang:1.26@sha256:...; see deploy/README.md.
ARG GO_IMAGE=golang:1.26
FROM ${GO_IMAGE} AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY api api
COPY clients clients
COPY cmd cmd
COPY internal internal
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w -buildid=" -o / ./cmd/saltwright ./clients/bot/cmd/saltwright-bot
# What each binary was linked from, read from the binary itself, and by whose licences.
RUN version=v$(sed -n 's/^  version: //p' api/src/openapi.yaml); \
    for name in saltwright saltwright-bot; do \
      go run github.com/CycloneDX/cyclonedx-gomod/cmd/cyclonedx-gomod@v1.10.0 bin -version "$version" -json -licenses -output /$name.cdx.json /$name || exit 1; \
    done
RUN cp cmd/saltwright/licences.txt /licences.txt

# The bot, by --target bot; its settings are variables, see clients/bot.
FROM scratch AS bot
COPY --from=build /saltwright-bot /saltwright-bot.cdx.json /licences.txt /
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/ca-certificates.crt
USER 65532:65532
EXPOSE 8090 9091
HEALTHCHECK --interval=10s --timeout=3s CMD ["/saltwright-bot", "-check", "http://127.0.0.1:8090/healthz"]
ENTRYPOINT ["/saltwright-bot"]
CMD ["-addr", ":8090", "-admin-addr", ":9091"]

# One static binary and the roots of TLS: no shell, no package, nothing to write.
FROM scratch
COPY --from=build /saltwright /saltwright.cdx.json /licences.txt /
# For a limit store or a collector of traces behind TLS.
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/ca-certificates.crt
USER 65532:65532
EXPOSE 8080 9090
HEALTHCHECK --interval=10s --timeout=3s CMD ["/saltwright", "--check", "http://127.0.0.1:9090/healthz"]
ENTRYPOINT ["/saltwright"]
CMD ["--addr", ":8080", "--admin-addr", ":9090"]
