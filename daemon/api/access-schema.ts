/** Who is signed in, persons, sessions and the audit trail, as the API takes and gives them. */
import { z } from 'zod';

export const roleSchema = z
  .enum(['guest', 'crew', 'technician'])
  .describe('`guest` looks; `crew` acts on alerts and says things; `technician` changes.');

const number = z.int().min(1);
const ms = z.number().describe("Milliseconds of the daemon's clock.");
/** Bounded only so that nobody sends a book; the daemon says what a password must be. */
const passwordSchema = z.string().min(1).max(1000).describe('Taken exactly as it is.');
const nameSchema = z.string().min(1).max(200);

/** GET /api/v1/session, and the answer to everything that changes who is signed in. */
export const visitorAnswerSchema = z.strictObject({
  role: roleSchema.nullable().describe('What this browser may do; null: nothing but sign in.'),
  person: z.string().nullable().describe('Who is signed in.'),
  isLocal: z.boolean().describe("It is the screen of the boat's own computer."),
  isFresh: z.boolean().describe('Changes may be made without giving the password again.'),
  mustSetUp: z.boolean().describe('Nobody is registered: the one-time code lets the first one in.'),
  canSignIn: z.boolean().describe('There are persons who can sign in here.'),
});
export type VisitorAnswer = z.infer<typeof visitorAnswerSchema>;

/** POST /api/v1/sign-in */
export const signInBodySchema = z.strictObject({ name: nameSchema, password: passwordSchema });
export type SignInBody = z.infer<typeof signInBodySchema>;

/** POST /api/v1/sign-out */
export const nothingBodySchema = z.strictObject({});

/** POST /api/v1/session/fresh: the password once more. */
export const passwordBodySchema = z.strictObject({ password: passwordSchema });
export type PasswordBody = z.infer<typeof passwordBodySchema>;

/** POST /api/v1/set-up */
export const setUpBodySchema = z.strictObject({
  code: z.string().min(1).max(20).describe('The one-time code of the boat’s own computer.'),
  name: nameSchema,
  password: passwordSchema,
});
export type SetUpBody = z.infer<typeof setUpBodySchema>;

/** POST /api/v1/own-password */
export const ownPasswordBodySchema = z.strictObject({
  current: passwordSchema,
  next: passwordSchema,
});
export type OwnPasswordBody = z.infer<typeof ownPasswordBodySchema>;

/** GET /api/v1/persons */
export const personAnswerSchema = z.strictObject({
  number,
  name: z.string(),
  role: roleSchema,
  madeAtMs: ms,
});
export type PersonAnswer = z.infer<typeof personAnswerSchema>;
export const personsAnswerSchema = z.strictObject({ persons: z.array(personAnswerSchema) });
export type PersonsAnswer = z.infer<typeof personsAnswerSchema>;

/** POST /api/v1/persons; answers with all of them, as do the three below. */
export const newPersonBodySchema = z.strictObject({
  name: nameSchema,
  role: roleSchema,
  password: passwordSchema,
});
export type NewPersonBody = z.infer<typeof newPersonBodySchema>;

/** POST /api/v1/persons/:number/role, /password and /remove; POST /api/v1/sessions/:number/end */
export const numberParamsSchema = z.strictObject({
  number: z.string().regex(/^\d{1,9}$/, 'a whole number'),
});
export const roleBodySchema = z.strictObject({ role: roleSchema });

/** GET /api/v1/sessions */
export const sessionAnswerSchema = z.strictObject({
  number,
  name: z.string(),
  role: roleSchema,
  address: z.string().describe('From where it was begun.'),
  madeAtMs: ms,
  seenAtMs: ms.describe('To about ten minutes.'),
  isOwn: z.boolean(),
});
export type SessionAnswer = z.infer<typeof sessionAnswerSchema>;
export const sessionsAnswerSchema = z.strictObject({ sessions: z.array(sessionAnswerSchema) });
export type SessionsAnswer = z.infer<typeof sessionsAnswerSchema>;

/** GET /api/v1/audit */
export const auditQuerySchema = z.strictObject({
  limit: z.int().min(1).max(500).default(100),
  before: z.int().min(1).exactOptional().describe('Only entries before this number.'),
});
export const auditEntrySchema = z.strictObject({
  seq: number,
  wallMs: z.number().describe("UTC as the boat's computer had it, ms."),
  clockMs: ms,
  who: z.string(),
  role: z.string(),
  address: z.string(),
  act: z.string(),
  object: z.string(),
  outcome: z.string(),
  hash: z.string(),
});
export type AuditEntry = z.infer<typeof auditEntrySchema>;
export const auditAnswerSchema = z.strictObject({
  entries: z.array(auditEntrySchema).describe('Newest first.'),
});
export type AuditAnswer = z.infer<typeof auditAnswerSchema>;
