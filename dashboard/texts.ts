/**
 * Every text that the page itself says, in one catalogue; its words stand in `texts/`, by language
 * and view. What rules say about alerts and positions comes from the daemon, ready to read.
 */
import { english } from './texts/english/index.ts';

type Widened<T> = T extends string
  ? string
  : T extends (...given: infer Given) => string
    ? (...given: Given) => string
    : { readonly [Key in keyof T]: Widened<T[Key]> };

/** The shape every language's catalogue has. */
export type Texts = Widened<typeof english>;

export const texts: Texts = english;
