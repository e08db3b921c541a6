export type ThemeChoice = 'system' | 'light' | 'dark';
export type Theme = 'light' | 'dark';

export const readThemeChoice = (text: string | null): ThemeChoice =>
  text === 'light' || text === 'dark' ? text : 'system';

/** What is drawn: the reader's choice, or what their system prefers. */
export const resolveTheme = (choice: ThemeChoice, systemIsDark: boolean): Theme =>
  choice === 'system' ? (systemIsDark ? 'dark' : 'light') : choice;
