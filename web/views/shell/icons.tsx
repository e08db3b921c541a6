import type { ReactNode } from 'react';

/** Line drawings on a 16-unit grid, in the colour of the text. Always beside or inside something that is named. */
function Icon({ children }: { children: ReactNode }) {
  return (
    <svg
      width="16"
      height="16"
      viewBox="0 0 16 16"
      fill="none"
      stroke="currentColor"
      strokeWidth="1.5"
      aria-hidden="true"
    >
      {children}
    </svg>
  );
}

export const SunIcon = () => (
  <Icon>
    <circle cx="8" cy="8" r="3" />
    <path d="M8 1v2M8 13v2M1 8h2M13 8h2M3 3l1.500 1.500M11.500 11.500 13 13M13 3l-1.500 1.500M4.500 11.500 3 13" />
  </Icon>
);
export const MoonIcon = () => (
  <Icon>
    <path d="M13 9.800A5.600 5.600 0 0 1 6.200 3 5.600 5.600 0 1 0 13 9.800z" />
  </Icon>
);
export const SystemIcon = () => (
  <Icon>
    <path d="M2 3h12v8H2zM5.500 14h5M8 11v3" />
  </Icon>
);
export const SearchIcon = () => (
  <Icon>
    <circle cx="7" cy="7" r="4.300" />
    <path d="m10.300 10.300 4 4" />
  </Icon>
);
export const LinkIcon = () => (
  <Icon>
    <path d="M6.500 9.500 9.500 6.500M7 4.500l1.500-1.500a3 3 0 0 1 4.500 4.500L11.500 9M9 11.500 7.500 13A3 3 0 0 1 3 8.500L4.500 7" />
  </Icon>
);
export const FilterIcon = () => (
  <Icon>
    <path d="M2 4h12M4.500 8h7M7 12h2" />
  </Icon>
);
export const ChevronIcon = () => (
  <Icon>
    <path d="m4 6 4 4 4-4" />
  </Icon>
);
