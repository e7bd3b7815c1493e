/** E-mail against a real SMTP server of this computer, whose answers are scripted. */
import { once } from 'node:events';
import { createServer, type AddressInfo, type Socket } from 'node:net';
import { SMTPServer, type SMTPServerOptions } from 'smtp-server';
import { beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { emailWay, type EmailOptions, messageIdOf } from '../../../daemon/delivery/email-way.ts';
import { waySchema } from '../../../daemon/settings/ways-section.ts';
import { type Certificates, madeCertificates } from './certificates.ts';
import { letterWith } from './fixtures.ts';

const LETTER = letterWith('overload.feeder#1');

let certificates: Certificates;
beforeAll(async () => {
  certificates = await madeCertificates(['localhost', '127.0.0.1']);
});

interface Post {
  port: number;
  mails: { to: string[]; from: string; text: string; isSecure: boolean }[];
}

async function startPost(options: SMTPServerOptions = {}): Promise<Post> {
  const { cert, key } = certificates;
  const post: Post = { port: 0, mails: [] };
  const server = new SMTPServer({
    cert,
    key,
    logger: false,
    authOptional: true,
    onData(stream, session, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk: Buffer) => chunks.push(chunk));
      stream.on('end', () => {
        const { mailFrom, rcptTo } = session.envelope;
        post.mails.push({
          to: rcptTo.map(({ address }) => address),
          from: mailFrom === false ? '' : mailFrom.address,
          text: Buffer.concat(chunks).toString('utf8'),
          isSecure: session.secure,
        });
        done();
      });
    },
    ...options,
  });
  server.on('error', () => {});
  server.listen(0, '127.0.0.1');
  await once(server.server, 'listening');
  post.port = (server.server.address() as AddressInfo).port;
  onTestFinished(() => server.close(() => {}));
  return post;
}

function wayTo({ port }: Pick<Post, 'port'>, change: Partial<EmailOptions> = {}) {
  return emailWay({
    id: 'mail',
    server: 'localhost',
    port,
    security: 'starttls',
    from: 'boat@example.org',
    to: 'wren@example.org',
    name: 'Wren',
    allowPlain: false,
    ca: certificates.ca,
    ...change,
  });
}

const soon = (): AbortSignal => AbortSignal.timeout(5000);

/** A server's refusal with a code of its own. */
function refusing(code: number, message: string): Error {
  return Object.assign(new Error(message), { responseCode: code });
}

describe('e-mail', () => {
  it.each(['starttls', 'tls'] as const)('goes encrypted by %s, as written', async (security) => {
    const post = await startPost({ secure: security === 'tls' });
    const outcome = await wayTo(post, { security }).send(LETTER, soon());
    expect(outcome).toEqual({ answer: expect.stringMatching(/^250/) });
    const [mail] = post.mails;
    expect(mail).toMatchObject({
      to: ['wren@example.org'],
      from: 'boat@example.org',
      isSecure: true,
    });
    expect(mail?.text).toContain(`Subject: ${LETTER.headline}`);
    expect(mail?.text).toContain('From: Sandpiper <boat@example.org>');
    expect(mail?.text).toContain(`Message-ID: ${messageIdOf(LETTER, 'boat@example.org')}`);
    expect(mail?.text).toContain('Auto-Submitted: auto-generated');
    expect(mail?.text).toContain('Switch off a large load.');
  });

  it('says by its Message-ID that it is the same letter again, of the same boat', () => {
    const id = messageIdOf(LETTER, 'boat@example.org');
    expect(messageIdOf({ ...LETTER, text: 'other' }, 'boat@example.org')).toBe(id);
    expect(messageIdOf({ ...LETTER, boat: 'Heron' }, 'boat@example.org')).not.toBe(id);
    // RFC 5322 section 3.6.4: dot-atom on both sides.
    expect(id).toMatch(/^<[a-z0-9]+@example\.org>$/);
  });

  it('tries again after 4yz and not after 5yz (RFC 5321 section 4.2.1)', async () => {
    for (const [code, isFinal] of [
      [451, false],
      [550, true],
    ] as const) {
      const post = await startPost({
        onRcptTo: (_address, _session, done) => done(refusing(code, 'not now')),
      });
      const outcome = await wayTo(post).send(LETTER, soon());
      expect(outcome).toMatchObject({
        isFinal,
        problem: expect.stringContaining(`${code} not now`),
      });
      expect(post.mails).toEqual([]);
    }
  });

  it('stops where the password is wrong', async () => {
    const post = await startPost({
      authOptional: false,
      onAuth: (_auth, _session, done) => done(refusing(535, 'wrong password')),
    });
    const outcome = await wayTo(post, { user: 'boat', password: 'x' }).send(LETTER, soon());
    expect(outcome).toMatchObject({ isFinal: true, problem: expect.stringContaining('535') });
  });

  it('sends nothing where the offer of encryption is missing or was struck out', async () => {
    const post = await startPost({ disabledCommands: ['STARTTLS'] });
    const outcome = await wayTo(post).send(LETTER, soon());
    expect(outcome).toMatchObject({ isFinal: false });
    expect(post.mails).toEqual([]);
  });

  it('sends nothing, not the password either, to a server that nobody vouches for', async () => {
    let asked = 0;
    const post = await startPost({
      onAuth: (_auth, _session, done) => {
        asked += 1;
        done(null, { user: 'boat' });
      },
    });
    const way = wayTo(post, { ca: undefined, user: 'boat', password: 'x' });
    expect(await way.send(LETTER, soon())).toMatchObject({
      isFinal: false,
      problem: expect.stringMatching(/certificate/),
    });
    expect([asked, post.mails]).toEqual([0, []]);
  });

  it('ends when its time is over', async () => {
    const sockets = new Set<Socket>();
    const silent = createServer((socket) => sockets.add(socket)).listen(0, '127.0.0.1');
    await once(silent, 'listening');
    onTestFinished(() => {
      for (const socket of sockets) socket.destroy();
      silent.close();
    });
    const { port } = silent.address() as AddressInfo;
    const outcome = await wayTo({ port }).send(LETTER, AbortSignal.timeout(200));
    expect(outcome).toEqual({ problem: 'the mail server did not answer in time', isFinal: false });
  });

  it('goes unencrypted to a relay of this computer, and nowhere else', async () => {
    const post = await startPost({ disabledCommands: ['STARTTLS'] });
    const relay = { allowPlain: true, security: undefined, server: '127.0.0.1' };
    expect(await wayTo(post, relay).send(LETTER, soon())).toHaveProperty('answer');
    expect(post.mails).toMatchObject([{ isSecure: false }]);
    const outside = wayTo(post, { ...relay, server: '93.184.216.34' });
    expect(await outside.send(LETTER, soon())).toMatchObject({
      problem: expect.stringMatching(/not on the boat/),
    });
  });

  it('cannot be made to go elsewhere by what a letter says', async () => {
    const post = await startPost();
    const evil = letterWith('evil\r\nBcc: evil@example.net', {
      boat: 'Sandpiper\r\nBcc: evil@example.net',
      headline: 'Shore lost\r\nBcc: evil@example.net\r\n\r\nbody',
      text: 'text\r\n.\r\nMAIL FROM:<evil@example.net>\r\nRCPT TO:<evil@example.net>',
    });
    await wayTo(post, { name: 'Wren, evil@example.net' }).send(evil, soon());
    expect(post.mails).toHaveLength(1);
    expect(post.mails[0]?.to).toEqual(['wren@example.org']);
    const [head] = (post.mails[0]?.text ?? '').split('\r\n\r\n');
    expect(head).not.toMatch(/^Bcc:/im);
  });
});

describe('an address in the settings', () => {
  const email = { kind: 'email', server: 'mail.example.org', from: 'boat@example.org' };
  it.each([
    'o@x.test\r\nRCPT TO:<evil@x.test>',
    'a@x.test, b@x.test',
    'Wren <wren@x.test>',
    'wren@x.test\n',
    '"a b"@x.test',
    'wren@',
    '@x.test',
    'wren@x..test',
    'wren@x.test ',
    'wren@-x.test',
  ])('is refused: %j', (to) => {
    expect(waySchema.safeParse({ ...email, to }).success).toBe(false);
  });

  it.each(['wren@x.test', "w.r+en'o@mail.x-y.test"])('is taken: %j', (to) => {
    expect(waySchema.safeParse({ ...email, to }).success).toBe(true);
  });
});
