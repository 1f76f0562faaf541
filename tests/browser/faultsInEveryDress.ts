import AxeBuilder from '@axe-core/playwright'
import type { Page } from 'playwright-core'

/** What axe finds in a part of a page, wide and narrow, light and dark; each is shown to `look` before the next. */
export async function faultsInEveryDress(
  page: Page,
  part: string,
  look: (name: string) => Promise<void> = async () => {},
): Promise<string[]> {
  const faults: string[] = []
  for (const [width, scheme] of [
    [1280, 'light'],
    [1280, 'dark'],
    [390, 'light'],
    [390, 'dark'],
  ] as const) {
    await page.setViewportSize({ width, height: 844 })
    await page.emulateMedia({ colorScheme: scheme })
    const { violations } = await new AxeBuilder({ page }).include(part).analyze()
    faults.push(...violations.map((one) => `${width} ${scheme} ${one.id}: ${one.nodes[0]?.html}`))
    await look(`${width}-${scheme}`)
  }
  return faults
}
