import { Page } from '../shared/page.tsx';

export function MapScreen() {
  return <Page title="Map">Being built.</Page>;
}
