/** `page`: how the page is offered. */
import * as z from 'zod';

const hostName = z
  .string()
  .max(253)
  .regex(
    /^[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*$/i,
    'must be a host name such as panel.example.org, without https:// and port',
  );

export const pageSection = z
  .strictObject({
    /** Host names by which a browser may ask for the page besides this computer's own. */
    names: z.array(hostName).max(20).default([]),
  })
  .prefault({});
