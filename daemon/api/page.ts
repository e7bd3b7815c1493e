/** Serves the built page: files with a hash in their name for ever, the rest only when unchanged. */
import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';
import { existsSync } from 'node:fs';
import { join, sep } from 'node:path';

const NOT_BUILT =
  'The page is not built. Run `npm run build` and start panelward again.\n' +
  'The readings are there all the same: /api/v1/panel, /api/v1/alerts, /openapi.json\n';

export async function addPage(app: FastifyInstance, folder: string): Promise<void> {
  if (!existsSync(join(folder, 'index.html'))) {
    app.get('/', { schema: { hide: true } }, async (_request, reply) =>
      reply.code(503).type('text/plain; charset=utf-8').send(NOT_BUILT),
    );
    return;
  }
  await app.register(fastifyStatic, {
    root: folder,
    schemaHide: true,
    cacheControl: false,
    dotfiles: 'ignore',
    // The build lays a compressed copy beside every file that gains by it.
    preCompressed: true,
    setHeaders(response, path) {
      response.setHeader('vary', 'accept-encoding');
      const isHashed = path.startsWith(join(folder, 'assets') + sep);
      response.setHeader(
        'cache-control',
        isHashed ? 'public, max-age=31536000, immutable' : 'no-cache',
      );
    },
  });
}
