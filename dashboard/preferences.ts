/** What this screen was told to look like; `screen.ts` reads and keeps it. */
import { signal } from '@preact/signals';
import { DEFAULTS, type Preferences } from './models/preferences.ts';

export const preferences = signal<Preferences>(DEFAULTS);
