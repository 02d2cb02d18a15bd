# syntax=docker/dockerfile:1
FROM node:22-bookworm-slim AS build
WORKDIR /evenfall
COPY package.json package-lock.json ./
RUN npm ci --ignore-scripts --no-audit --no-fund
COPY LICENSE README.md tsconfig.json ./
COPY build build
COPY docs docs
COPY drivers drivers
COPY harness harness
COPY specs specs
RUN npm run build && npm prune --omit=dev --ignore-scripts

FROM node:22-bookworm-slim AS run
WORKDIR /evenfall
ENV NODE_ENV=production
COPY --from=build /evenfall/package.json /evenfall/LICENSE /evenfall/README.md ./
COPY --from=build /evenfall/node_modules node_modules
COPY --from=build /evenfall/dist dist
COPY --from=build /evenfall/specs specs
COPY --from=build /evenfall/docs docs
COPY --from=build /evenfall/drivers/plant/firmware drivers/plant/firmware
RUN ln -s /evenfall/dist/main.js /usr/local/bin/evenfall && chmod +x dist/main.js
USER node
WORKDIR /work
ENTRYPOINT ["evenfall"]
CMD ["--help"]

FROM node:22-bookworm AS test
RUN apt-get update \
 && apt-get install -y --no-install-recommends chromium clang gcc git libc6-dev lld llvm libxml2-utils make openssl patch postgresql \
 && rm -rf /var/lib/apt/lists/*
WORKDIR /evenfall
COPY . .
RUN npm ci --no-audit --no-fund
CMD ["npm", "test"]
