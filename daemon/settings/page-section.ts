/** `page`: how the page is offered, and to whom without signing in. */
import * as z from 'zod';

const hostName = z
  .string()
  .max(253)
  .regex(
    /^[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*$/i,
    'must be a host name such as panel.example.org, without https:// and port',
  );

const file = z.string().min(1).max(4096);

export const pageSection = z
  .strictObject({
    /** Host names by which a browser may ask for the page besides this computer's own. */
    names: z.array(hostName).max(20).default([]),
    /** Whoever is on the boat's network may look, and only look, without signing in. */
    openGuest: z.boolean().default(false),
    /**
     * What the screen of this computer may do without signing in. Default: all while the page is
     * offered to this computer only, what the crew may once the network reaches it.
     */
    loopbackRole: z.enum(['none', 'guest', 'crew', 'technician']).optional(),
    /** A certificate of one's own (PEM, with its chain) and its key; else that of `panelward tls`. */
    tls: z.strictObject({ cert: file, key: file }).optional(),
  })
  .prefault({});
